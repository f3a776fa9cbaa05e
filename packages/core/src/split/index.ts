export * from './types.ts';
export * from './settings.ts';
export { costForBoth } from './plan.ts';
export { proposeSplit } from './propose.ts';
export { thinMesh } from './thin.ts';
export type { SplitOptions } from './prepare.ts';
export type { KeepZone } from './keep.ts';
export { lowerBoundSchema, splitPlanSchema } from './schema.ts';
