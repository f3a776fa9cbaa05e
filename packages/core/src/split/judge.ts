import type { Envelope } from '../envelope/index.ts';
import { decideFit, placeInYaw, type FitBody } from '../fit/index.ts';
import type { Axes } from './frames.ts';
import { extremePoints, widthAlong } from './frames.ts';
import { Reach } from './reach.ts';
import type { PieceFit } from './types.ts';

/** The envelope with more room kept free at the sides and the top. */
export const withAllowance = (envelope: Envelope, mm: number): Envelope =>
  mm === 0
    ? envelope
    : {
        ...envelope,
        marginSideMm: envelope.marginSideMm + mm,
        marginTopMm: envelope.marginTopMm + mm,
      };

/** Answers about pieces against all envelopes: quick ones for the search, certified ones for plans. */
export class Judge {
  readonly envelopes: readonly Envelope[];
  readonly reach: Reach;
  readonly diagonalMm: number;
  private readonly signal: AbortSignal | undefined;

  constructor(envelopes: readonly Envelope[], signal?: AbortSignal) {
    this.envelopes = envelopes;
    this.signal = signal;
    this.reach = new Reach(envelopes);
    this.diagonalMm = Math.max(...envelopes.map(diagonalOf));
  }

  /** Fewest boxes of a grid in any of the frames: an upper guess of the pieces a body needs. */
  count(points: Float64Array, frames: readonly Axes[]): number {
    let best = Infinity;
    for (const frame of frames) {
      const [a, b, c] = frame.map((d) => widthAlong(points, d)) as [number, number, number];
      best = Math.min(best, this.reach.count([a, b, c]).count);
      if (best === 1) break;
    }
    return best;
  }

  /** A few hundred cells of work on a few hundred points: true may be wrong by a hair. */
  likely(points: Float64Array, frames: readonly Axes[]): boolean {
    if (frames.some((f) => f.some((d) => widthAlong(points, d) > this.diagonalMm))) return false;
    const few = extremePoints(points, 160);
    return this.envelopes.some((e) => decideFit(few, e, this.options(QUICK_CELLS)).fits === true);
  }

  /** The certificate: the first envelope, in the order given, that takes the points. */
  certify(hull: FitBody, maxCells: number): PieceFit {
    let fits: boolean | null = false;
    for (const envelope of this.envelopes) {
      const answer = decideFit(hull, envelope, this.options(maxCells));
      if (answer.fits) return { fits: true, envelope: envelope.name, placement: answer.placement };
      if (answer.fits === null) fits = null;
    }
    return { fits, envelope: this.envelopes.at(-1)?.name ?? '', placement: null };
  }

  /** Whether the points, already turned, stand in some envelope with a turn about Z. */
  stands(points: Float64Array): boolean {
    return this.envelopes.some((e) => placeInYaw(points, e) !== null);
  }

  private options(maxCells: number): { maxCells: number; signal?: AbortSignal } {
    return { maxCells, ...(this.signal && { signal: this.signal }) };
  }
}

const QUICK_CELLS = 200;

function diagonalOf(envelope: Envelope): number {
  const plate = envelope.plate;
  if (plate.shape === 'box') return Math.hypot(plate.widthMm, plate.depthMm, envelope.heightMm);
  if (plate.shape === 'round') return Math.hypot(plate.diameterMm, envelope.heightMm);
  let widest = 0;
  for (const p of plate.outlineMm)
    for (const q of plate.outlineMm)
      widest = Math.max(widest, Math.hypot(p[0] - q[0], p[1] - q[1]));
  return Math.hypot(widest, envelope.heightMm);
}
