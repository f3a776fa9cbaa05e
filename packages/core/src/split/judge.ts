import type { Envelope } from '../envelope/index.ts';
import { decideFit, fitPart, placeInYaw, type FitBody } from '../fit/index.ts';
import { quatToMatrix, type Mat3, type Vec3, type Axes } from '../math/index.ts';
import { convexHull } from '../hull/index.ts';
import { extremePoints, widthAlong } from './frames.ts';
import { innerBoxes, Reach } from './reach.ts';
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
  private readonly boxes: readonly Vec3[];
  private readonly highestMm: number;
  /** The same with their sides in order of length. */
  private readonly sorted: readonly Vec3[];
  /** Rotations in which something fitted, the latest first. */
  private readonly known: Mat3[] = [];

  constructor(envelopes: readonly Envelope[], signal?: AbortSignal) {
    this.envelopes = envelopes;
    this.signal = signal;
    this.reach = new Reach(envelopes);
    this.boxes = envelopes.flatMap(innerBoxes);
    this.sorted = this.boxes.map((b) => [...b].sort((p, q) => p - q) as unknown as Vec3);
    this.highestMm = Math.max(...this.boxes.map((b) => b[2]));
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

  /**
   * A little work on a few hundred points: true may be wrong by a hair, false by more. Pieces of
   * one part often fit in the same few rotations, so those that did are tried first.
   */
  likely(points: Float64Array, frames: readonly Axes[], effort: Effort = 'quick'): boolean {
    if (frames.some((f) => f.some((d) => widthAlong(points, d) > this.diagonalMm))) return false;
    return this.witness(points, effort) !== null;
  }

  /** A rotation in which the points fit, as a frame, if a little work finds one. */
  witness(points: Float64Array, effort: Effort): Axes | null {
    const { cells, most } = EFFORTS[effort];
    // A hull is as wide as its points: it is not needed to see that they fit.
    const all = most < Infinity ? extremePoints(points, most) : points;
    const known = this.known.find((m) => this.fitsTurned(all, m));
    if (known) return framed(known);
    const few = most < Infinity ? all : convexHull(points).positions;
    for (const envelope of this.envelopes) {
      const answer = decideFit(few, envelope, this.options(cells));
      if (!answer.fits) continue;
      const m = quatToMatrix(answer.placement.rotation);
      this.learn(m);
      return framed(m);
    }
    return null;
  }

  /** Rotations worth a try, as frames: those in which something fitted before. */
  frames(): Axes[] {
    return this.known.map(framed);
  }

  /** A good rotation for points whether they fit or not, as a frame. */
  closest(points: Float64Array): Axes {
    const [envelope] = this.envelopes;
    const few = extremePoints(points, EFFORTS.rough.most);
    const options = { ...this.options(EFFORTS.rough.cells), precision: 0.01 };
    return framed(quatToMatrix(fitPart(few, envelope as Envelope, options).placement.rotation));
  }

  /** How many times too large a box of these sides is, set square or tilted: 1 just fits. */
  excess(a: number, b: number, c: number, tilted: boolean): number {
    const [x, y, z] = [a, b, c].sort((p, q) => p - q) as [number, number, number];
    let least = Infinity;
    for (const [u, v, w] of this.sorted) least = Math.min(least, Math.max(x / u, y / v, z / w));
    return tilted && least > 1 ? Math.min(least, this.reach.excess(x, y, z)) : least;
  }

  /** Whether points fit with a frame's axes along the machine's in some order; then it is known. */
  fitsIn(points: Float64Array, [u, v, w]: Axes): boolean {
    for (const [a, b, c] of [
      [u, v, w],
      [v, w, u],
      [w, u, v],
    ] as const) {
      const m: Mat3 = [...a, ...b, ...c];
      if (!this.fitsTurned(points, m)) continue;
      this.learn(m);
      return true;
    }
    return false;
  }

  private learn(m: Mat3): void {
    this.known.unshift(m);
    this.known.length = Math.min(this.known.length, KNOWN);
  }

  private fitsTurned(points: Float64Array, m: Mat3): boolean {
    const z = widthAlong(points, [m[6], m[7], m[8]]);
    if (z > this.highestMm) return false;
    const x = widthAlong(points, [m[0], m[1], m[2]]);
    const y = widthAlong(points, [m[3], m[4], m[5]]);
    return this.boxes.some(
      (b) => z <= b[2] && ((x <= b[0] && y <= b[1]) || (x <= b[1] && y <= b[0])),
    );
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

const framed = (m: Mat3): Axes => [
  [m[0], m[1], m[2]],
  [m[3], m[4], m[5]],
  [m[6], m[7], m[8]],
];

/** How much work goes into a guess: cells of rotations, and points looked at. */
const EFFORTS = {
  rough: { cells: 30, most: 90 },
  quick: { cells: 100, most: 160 },
  /** All points count: no piece is taken to fit by a hair. */
  sure: { cells: 150, most: Infinity },
} as const;
export type Effort = keyof typeof EFFORTS;

const KNOWN = 12;

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
