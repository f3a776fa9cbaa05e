import { Extremes } from './extremes.ts';
import type { FreeSpace } from './free-space.ts';
import type { PartFacts } from './types.ts';

export interface PiecesBound {
  readonly count: number;
  readonly because: string;
}

/**
 * Proved: however a part that fits in no orientation is cut, fewer pieces than `count` cannot all
 * fit. Volumes add up. If a connected body is covered by pieces, then along any direction its
 * extent is at most the sum of theirs (each next piece touches the ones before), so neither the
 * longest straight line nor the mean width of the whole can exceed the sum over pieces.
 */
export function piecesAtLeast(
  points: Float64Array,
  space: FreeSpace,
  facts: PartFacts,
): PiecesBound {
  let best: PiecesBound = { count: 2, because: 'it fits in no orientation' };
  const offer = (ratio: number, because: string): void => {
    // A hair less than the ratio: a part that just touches must not be charged a piece.
    const count = Math.ceil(ratio * (1 - 1e-9));
    if (count > best.count) best = { count, because };
  };
  const { volumeMm3, connected, meanWidthMm } = facts;
  if (volumeMm3 !== undefined)
    offer(volumeMm3 / space.volumeMm3, "its volume against the envelope's");
  if (connected) {
    offer(longestLine(points) / space.diagonalMm, "its length against the envelope's diagonal");
    if (meanWidthMm !== undefined)
      offer(meanWidthMm / space.meanWidthMm, "its mean width against the envelope's");
  }
  return best;
}

/** Distance of two far points: exact up to 400 points, else never more than the diameter. */
export function longestLine(points: Float64Array): number {
  const n = points.length / 3;
  let most = 0;
  const try2 = (i: number, j: number): void => {
    const d = Math.hypot(
      (points[3 * i] as number) - (points[3 * j] as number),
      (points[3 * i + 1] as number) - (points[3 * j + 1] as number),
      (points[3 * i + 2] as number) - (points[3 * j + 2] as number),
    );
    if (d > most) most = d;
  };
  if (n <= 400) {
    for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) try2(i, j);
    return most;
  }
  // From several starts, walk to the farthest point and back until the line stops growing.
  const extremes = new Extremes(points);
  for (let start = 0; start < n; start += Math.ceil(n / 12)) {
    let from = start;
    for (let hop = 0; hop < 8; hop++) {
      const reach = extremes.awayFrom(from);
      if (Math.sqrt(reach) <= most) break;
      try2(from, extremes.top);
      from = extremes.top;
    }
  }
  return most;
}

/**
 * Mean width of a convex hull: the sum over its edges of length times the angle between the two
 * facets' normals, over 4 pi (the mean curvature integral; Finch, arXiv 1111.4976, uses it for the
 * tetrahedron). @param triangles facets of a closed convex body over `points`.
 */
export function meanWidth(points: Float64Array, triangles: Uint32Array): number {
  const normals = new Float64Array(triangles.length);
  const sides = new Map<number, number>();
  const n = points.length / 3;
  let sum = 0;
  const p = (i: number, c: number): number => points[3 * i + c] as number;
  for (let f = 0; f < triangles.length; f += 3) {
    const [a, b, c] = [triangles[f] as number, triangles[f + 1] as number, triangles[f + 2] as number]; // prettier-ignore
    const ux = p(b, 0) - p(a, 0), uy = p(b, 1) - p(a, 1), uz = p(b, 2) - p(a, 2); // prettier-ignore
    const vx = p(c, 0) - p(a, 0), vy = p(c, 1) - p(a, 1), vz = p(c, 2) - p(a, 2); // prettier-ignore
    const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx; // prettier-ignore
    const l = Math.hypot(nx, ny, nz) || 1;
    normals[f] = nx / l;
    normals[f + 1] = ny / l;
    normals[f + 2] = nz / l;
    for (let k = 0; k < 3; k++) {
      const i = triangles[f + k] as number;
      const j = triangles[f + ((k + 1) % 3)] as number;
      const twin = sides.get(j * n + i);
      if (twin === undefined) {
        sides.set(i * n + j, f);
        continue;
      }
      const length = Math.hypot(p(i, 0) - p(j, 0), p(i, 1) - p(j, 1), p(i, 2) - p(j, 2));
      const g = (m: number): number => normals[m] as number;
      const cross = Math.hypot(
        g(f + 1) * g(twin + 2) - g(f + 2) * g(twin + 1),
        g(f + 2) * g(twin) - g(f) * g(twin + 2),
        g(f) * g(twin + 1) - g(f + 1) * g(twin),
      );
      const dot = g(f) * g(twin) + g(f + 1) * g(twin + 1) + g(f + 2) * g(twin + 2);
      sum += length * Math.atan2(cross, dot);
    }
  }
  return sum / (4 * Math.PI);
}
