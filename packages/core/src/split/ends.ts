import { sidePoints, type Body } from './body.ts';
import type { Task } from './leaf.ts';
import type { Sweep } from './sweep.ts';

/**
 * What is known of the two ends of a swept body, as indices of offsets. A side that fits still
 * fits when the plane moves so as to make it smaller, so one index on either side says it all.
 */
export interface Ends {
  /** The side below fits up to this offset; -1 where none is known. */
  lowTo: number;
  /** The side below does not fit from this offset on. */
  lowNot: number;
  /** The side above fits from this offset on; the number of offsets where none is known. */
  highFrom: number;
  /** The side above does not fit up to this offset. */
  highNot: number;
}

/** What boxes and the longest line in an envelope tell for nothing. */
export function knownEnds(
  sweep: Sweep,
  below: Float64Array,
  above: Float64Array,
  task: Task,
): Ends {
  const n = below.length;
  const axes = n > 0 ? sweep.belowMm.length / n : 0;
  const tooLong = (widths: Float64Array, k: number): boolean => {
    for (let i = k * axes; i < (k + 1) * axes; i++)
      if ((widths[i] as number) > task.judge.diagonalMm) return true;
    return false;
  };
  const ends = { lowTo: -1, lowNot: n, highFrom: n, highNot: -1 };
  for (let k = 0; k < n; k++) {
    if (below[k] === 1) ends.lowTo = k;
    if (ends.lowNot === n && tooLong(sweep.belowMm, k)) ends.lowNot = k;
  }
  for (let k = n - 1; k >= 0; k--) {
    if (above[k] === 1) ends.highFrom = k;
    if (ends.highNot === -1 && tooLong(sweep.aboveMm, k)) ends.highNot = k;
  }
  return ends;
}

/** Whether a cut at this offset may yet turn out to leave two pieces that fit. */
export const possible = (ends: Ends, k: number): boolean => k < ends.lowNot && k > ends.highNot;

/**
 * Finds out, by halving, up to where either side fits.
 * @param most decisions allowed
 * @param whole the body is the whole part, and worth more work
 * @returns decisions made
 */
export function settle(
  body: Body,
  sweep: Sweep,
  ends: Ends,
  task: Task,
  most: number,
  whole: boolean,
): number {
  const fits = (k: number, side: 'below' | 'above'): boolean =>
    task.judge.likely(
      sidePoints(body, sweep.normal, sweep.offsetsMm[k] as number, side),
      task.candidates.frames,
      whole ? 'quick' : 'rough',
    );
  let used = 0;
  while (ends.lowNot - ends.lowTo > 1 && used < most) {
    const k = Math.floor((ends.lowTo + ends.lowNot) / 2);
    used++;
    if (fits(k, 'below')) ends.lowTo = k;
    else ends.lowNot = k;
  }
  while (ends.highFrom - ends.highNot > 1 && used < most) {
    const k = Math.floor((ends.highFrom + ends.highNot) / 2);
    used++;
    if (fits(k, 'above')) ends.highFrom = k;
    else ends.highNot = k;
  }
  return used;
}
