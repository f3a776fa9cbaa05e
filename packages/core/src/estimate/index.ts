export * from './settings.ts';
export * from './material.ts';
export * from './schema.ts';
export { estimatePart, type PartOptions } from './part.ts';
export { fitToLog, withFit, LEAST_PRINTS, type LogFit, type PrintRecord } from './fit.ts';
