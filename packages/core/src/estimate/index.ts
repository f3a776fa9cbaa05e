export * from './settings.ts';
export * from './material.ts';
export * from './schema.ts';
export { estimatePart, type PartOptions } from './part.ts';
export { fitToLog, withFit, LEAST_PRINTS, type LogFit, type PrintRecord } from './fit.ts';
export { hoursWith } from './hours.ts';
export {
  readyPart,
  weighPart,
  type PrintingMachine,
  type Ready,
  type ReadyOptions,
  type Recipe,
} from './ready.ts';
export { estimateOf } from './total.ts';
export { wholeOrSplit, type WholeOrSplitOptions } from './whole-or-split.ts';
