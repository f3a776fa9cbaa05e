export * from './settings.ts';
export * from './material.ts';
export * from './schema.ts';
export { estimatePart, type PartOptions } from './part.ts';
export {
  fitToLog,
  hoursModelOf,
  withFit,
  LEAST_PRINTS,
  type LogFit,
  type PrintRecord,
} from './fit.ts';
export { hoursWith, type HoursFactors } from './hours.ts';
export {
  readyPart,
  shadowOf,
  weighPart,
  type PrintingMachine,
  type Ready,
  type ReadyOptions,
  type Recipe,
} from './ready.ts';
export { estimateOf } from './total.ts';
export { wholeOrSplit, wholeOrSplitWith, type WholeOrSplitOptions } from './whole-or-split.ts';
