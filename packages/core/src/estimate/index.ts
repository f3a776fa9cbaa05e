export * from './settings.ts';
export * from './material.ts';
