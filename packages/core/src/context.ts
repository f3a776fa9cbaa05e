import { ScantlingError } from './errors.ts';

/**
 * What long work may ask of its caller. Everything is optional and silent by default; the
 * library itself owns no clock, no console and no unseeded randomness.
 */
export interface Context {
  /** Checked at least every few tens of milliseconds of work; aborting throws `CANCELLED`. */
  readonly signal?: AbortSignal;
  /** Called now and then with the share done, 0..1, and a short word for the step. */
  readonly progress?: (share: number, step: string) => void;
  /** Seed for every randomised choice; the same seed gives the same bytes. Default 1. */
  readonly seed?: number;
}

export const DEFAULT_SEED = 1;

/** @throws ScantlingError `CANCELLED` once the caller's signal is aborted. */
export function checkCancelled(context: Context | undefined): void {
  if (context?.signal?.aborted) throw new ScantlingError('CANCELLED', 'Stopped on request.');
}
