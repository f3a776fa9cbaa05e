import { ScantlingError } from '../errors.ts';
import { boundsOf, type Box3 } from '../mesh/index.ts';
import { HullBuilder, side } from './builder.ts';
import { flatHull } from './flat-hull.ts';
import { assignOutside, keptOutside } from './sieve.ts';
import type { Hull } from './types.ts';

/**
 * Convex hull of a point set, exact: every sidedness question is answered in exact arithmetic when
 * rounding could decide it (Shewchuk 1997, through robust-predicates), so that no input point lies
 * outside the result by any amount. Flat and straight sets come back with a lower rank.
 *
 * @param positions x, y, z per point, mm
 * @throws ScantlingError `NON_FINITE` for a coordinate that is not a number (says which)
 * Method: quickhull (Barber, Dobkin and Huhdanpaa 1996) over flat arrays, begun from the extreme
 * points of 26 directions. Of large sets the hull of a sample comes first, and a map of its radius
 * over all directions drops most other points at one plane test each (see `assignOutside`).
 * Cost: O(n) looks, then O(h log h) for the h points near the hull.
 */
export function convexHull(positions: Float64Array): Hull {
  const n = positions.length / 3;
  const sample = sampleOf(n, SAMPLE);
  const builder = hullOfSample(positions, sample);
  if (builder === null) return flatHull(positions);
  if (sample.length < n) {
    if (!assignOutside(builder)) builder.assignAll(Int32Array.from({ length: n }, (_, i) => i));
    builder.run();
  }
  return builder.result();
}

/** Points of a large set whose hull is made first. */
const SAMPLE = 2000;
/** Enough of them to drop most others, when those that are left need no hull. */
const SMALL_SAMPLE = 1000;

/** Some of a point set, every extreme one among them, and an exact hull of a few. */
export interface ExtremeCandidates {
  /** x, y, z per point, mm: those of the hull and few others. */
  readonly positions: Float64Array;
  /** Hull of some of the points: lies within the hull of all, and is that for small sets. */
  readonly inner: Hull;
}

/**
 * Points that may be extreme: what the hull has, bit for bit, and some more. A tenth of the hull's
 * time on large smooth bodies, and all that measures along directions need.
 *
 * @param positions x, y, z per point, mm
 * @throws ScantlingError `NON_FINITE` as `convexHull`
 * Method: the sieve of `convexHull` without its end.
 */
export function extremeCandidates(positions: Float64Array): ExtremeCandidates {
  const sample = sampleOf(positions.length / 3, SMALL_SAMPLE);
  const builder = hullOfSample(positions, sample);
  const kept = builder && sample.length < positions.length / 3 ? keptOutside(builder) : null;
  if (builder === null || kept === null) {
    const inner = convexHull(positions);
    return { positions: inner.positions, inner };
  }
  const points = new Float64Array(3 * kept.length);
  for (let i = 0; i < kept.length; i++) {
    const p = 3 * (kept[i] as number);
    points[3 * i] = positions[p] as number;
    points[3 * i + 1] = positions[p + 1] as number;
    points[3 * i + 2] = positions[p + 2] as number;
  }
  return { positions: points, inner: builder.result() };
}

/** The finished hull of a sample; null when all points lie in one plane. */
function hullOfSample(positions: Float64Array, sample: Int32Array): HullBuilder | null {
  const box = finiteBounds(positions);
  const seeds = extremesOf26(positions, sample);
  const start = simplexOf(positions, seeds) ?? simplexOf(positions, null);
  if (start === null) return null;
  const builder = new HullBuilder(positions, box, start);
  for (const s of seeds) builder.insertAnywhere(s);
  builder.assignAll(sample);
  builder.run();
  return builder;
}

/** All points, or some of a large set: spread over it, but in step with no pattern of its rows. */
function sampleOf(n: number, size: number): Int32Array {
  if (n < 2 * SAMPLE) return Int32Array.from({ length: n }, (_, i) => i);
  return Int32Array.from({ length: size }, (_, k) =>
    Math.floor(((k + ((k * 0.6180339887498949) % 1)) * n) / size),
  );
}

function finiteBounds(xyz: Float64Array): Box3 {
  for (let i = 0; i < xyz.length; i++)
    // Only NaN and infinity do not vanish when multiplied by 0.
    if ((xyz[i] as number) * 0 !== 0)
      throw new ScantlingError('NON_FINITE', `Vertex ${Math.floor(i / 3)} is not a finite point.`);
  return boundsOf(xyz);
}

/** The 13 directions of a 3x3x3 neighbourhood that are not each other's opposites. */
const DIRECTIONS = [
  [1, 0, 0], [0, 1, 0], [0, 0, 1],
  [1, 1, 0], [1, -1, 0], [0, 1, 1], [0, 1, -1], [1, 0, 1], [1, 0, -1],
  [1, 1, 1], [1, 1, -1], [1, -1, 1], [1, -1, -1],
] as const; // prettier-ignore

/** Those of the sample that are extreme along 26 directions. */
function extremesOf26(xyz: Float64Array, sample: Int32Array): number[] {
  const ids = new Set<number>();
  for (const [dx, dy, dz] of DIRECTIONS) {
    let least = Infinity;
    let most = -Infinity;
    let low = -1;
    let high = -1;
    for (const p of sample) {
      const i = 3 * p;
      const d = dx * (xyz[i] as number) + dy * (xyz[i + 1] as number) + dz * (xyz[i + 2] as number);
      if (d < least) {
        least = d;
        low = p;
      }
      if (d > most) {
        most = d;
        high = p;
      }
    }
    if (low >= 0) ids.add(low).add(high);
  }
  return [...ids];
}

/** Four points that span a body, or null when all lie in one plane (decided exactly). */
function simplexOf(
  xyz: Float64Array,
  among: readonly number[] | null,
): [number, number, number, number] | null {
  const count = among ? among.length : xyz.length / 3;
  const id = (k: number): number => (among ? (among[k] as number) : k);
  const farthest = (score: (i: number) => number): number => {
    let best = -1;
    let most = 0;
    for (let k = 0; k < count; k++) {
      const s = score(id(k));
      if (s > most) {
        most = s;
        best = id(k);
      }
    }
    return best;
  };
  if (count < 4) return null;
  const a = id(0);
  const at = (i: number, c: number): number => xyz[3 * i + c] as number;
  const sq = (i: number, j: number): number =>
    (at(i, 0) - at(j, 0)) ** 2 + (at(i, 1) - at(j, 1)) ** 2 + (at(i, 2) - at(j, 2)) ** 2;
  const b = farthest((i) => sq(i, a));
  if (b < 0) return null;
  const cross = (i: number): [number, number, number] => {
    const ux = at(b, 0) - at(a, 0), uy = at(b, 1) - at(a, 1), uz = at(b, 2) - at(a, 2); // prettier-ignore
    const vx = at(i, 0) - at(a, 0), vy = at(i, 1) - at(a, 1), vz = at(i, 2) - at(a, 2); // prettier-ignore
    return [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
  };
  const c = farthest((i) => cross(i).reduce((s, x) => s + x * x, 0));
  if (c < 0) return null;
  // A nearly flat set may have its rounding give the wrong winner, but never a wrong sign: any
  // point that is exactly off the plane will do.
  const d = farthest((i) => Math.abs(side(xyz, a, b, c, i)));
  return d < 0 ? null : [a, b, c, d];
}
