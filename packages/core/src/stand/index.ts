export * from './schema.ts';
export {
  balanceFigure,
  STANDING_CAUTION,
  type BalanceOptions,
  type StandingBody,
} from './balance.ts';
export { MOST_WALLS, wallsToTry, type LowPart } from './wanted.ts';
