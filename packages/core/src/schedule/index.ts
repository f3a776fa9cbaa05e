export * from './settings.ts';
export { instantOf, isoIn, isTimeZone, parseInstant, zoneOf } from './clock.ts';
export { earliestStart, hoursOf, isInside, type Hours, type Spans } from './hours.ts';
export {
  costOf,
  runsOf,
  type Cost,
  type Job,
  type MachineState,
  type Problem,
  type Run,
} from './jobs.ts';
export { listSchedule } from './list.ts';
export { exactSequences } from './exact.ts';
export { lowerBound, type BoundReason, type LowerBound } from './bounds.ts';
export { solve, type SearchOptions, type Solution } from './search.ts';
export { nest, type PlacedFootprint } from './nest.ts';
export * from './plates.ts';
export * from './spools.ts';
export { feed, type Draw, type Feeding, type MidChange } from './feeding.ts';
export * from './schema.ts';
export { planPrints, UNATTENDED_CAUTION, type PlanRequest } from './plan.ts';
export { planCalendar } from './ical.ts';
