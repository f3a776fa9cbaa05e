export * from './salvage.ts';
export * from './schema.ts';
export { printedHeight, UNCERTAIN, type PrintedHeight, type Progress } from './height.ts';
export { skinAt, LEAN_DEG, type SkinAtCut } from './place.ts';
