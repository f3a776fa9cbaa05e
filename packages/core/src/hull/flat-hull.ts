import { orient2d } from 'robust-predicates';
import type { Hull } from './types.ts';

/**
 * Hull of points that lie exactly in one plane, on one line or in one place. Dropping one
 * coordinate of a flat set keeps convexity and order, so the planar hull is exact as well.
 * The vertices of a rank 2 hull follow its outline.
 */
export function flatHull(positions: Float64Array): Hull {
  const n = positions.length / 3;
  const at = (i: number, c: number): number => positions[3 * i + c] as number;
  const pick = (ids: readonly number[], rank: Hull['rank']): Hull => ({
    positions: Float64Array.from(ids.flatMap((i) => [at(i, 0), at(i, 1), at(i, 2)])),
    source: Uint32Array.from(ids),
    triangles: new Uint32Array(0),
    rank,
  });
  if (n === 0) return pick([], -1);
  // The view in which the set is widest: any in which it is not a line will do.
  let best: readonly number[] = [0];
  for (const [x, y] of [
    [0, 1],
    [1, 2],
    [2, 0],
  ] as const) {
    const ids = planarHull(n, (i) => at(i, x), (i) => at(i, y)); // prettier-ignore
    if (ids.length > best.length) best = ids;
  }
  return pick(best, best.length > 2 ? 2 : best.length === 2 ? 1 : 0);
}

/**
 * Corners of the planar convex hull, counter-clockwise, without points inside an edge; two for a
 * line, one for a single place. Exact (Andrew's monotone chain over an exact turn test).
 */
export function planarHull(
  n: number,
  x: (i: number) => number,
  y: (i: number) => number,
): number[] {
  const order = (n > 64 ? outerPoints(n, x, y) : Array.from({ length: n }, (_, i) => i)).sort(
    (a, b) => x(a) - x(b) || y(a) - y(b),
  );
  // orient2d is positive for a clockwise turn in its own convention (y down).
  const left = (a: number, b: number, c: number): boolean =>
    orient2d(x(a), y(a), x(b), y(b), x(c), y(c)) < 0;
  const half = (ids: readonly number[]): number[] => {
    const chain: number[] = [];
    for (const i of ids) {
      while (
        chain.length > 1 &&
        !left(chain[chain.length - 2] as number, chain[chain.length - 1] as number, i)
      )
        chain.pop();
      const last = chain[chain.length - 1];
      if (last === undefined || x(last) !== x(i) || y(last) !== y(i)) chain.push(i);
    }
    return chain;
  };
  const lower = half(order);
  const upper = half([...order].reverse());
  if (lower.length === 1) return lower;
  return [...lower.slice(0, -1), ...upper.slice(0, -1)];
}

/**
 * The points that are not surely inside the octagon of the extremes along eight directions (Akl and
 * Toussaint 1978): sorting is then for a few hundred instead of all.
 */
function outerPoints(n: number, x: (i: number) => number, y: (i: number) => number): number[] {
  const directions = [[1, 0], [1, 1], [0, 1], [-1, 1], [-1, 0], [-1, -1], [0, -1], [1, -1]] as const; // prettier-ignore
  const best = new Float64Array(8).fill(-Infinity);
  const corner = new Int32Array(8);
  for (let i = 0; i < n; i++) {
    const px = x(i);
    const py = y(i);
    for (let k = 0; k < 8; k++) {
      const [dx, dy] = directions[k] as readonly [number, number];
      const d = dx * px + dy * py;
      if (d > (best[k] as number)) {
        best[k] = d;
        corner[k] = i;
      }
    }
  }
  // Edges of the octagon as a px + b py < c, with room for rounding.
  const span = Math.max(...[0, 2, 4, 6].map((k) => Math.abs(best[k] as number)));
  const edges: number[] = [];
  for (let k = 0; k < 8; k++) {
    const p = corner[k] as number;
    const q = corner[(k + 1) % 8] as number;
    const ex = x(q) - x(p);
    const ey = y(q) - y(p);
    if (ex === 0 && ey === 0) continue;
    edges.push(-ey, ex, -ey * x(p) + ex * y(p) + 1e-14 * span * (Math.abs(ex) + Math.abs(ey)));
  }
  const outer: number[] = [];
  for (let i = 0; i < n; i++) {
    const px = x(i);
    const py = y(i);
    let inside = edges.length > 0;
    for (let k = 0; inside && k < edges.length; k += 3)
      inside = (edges[k] as number) * px + (edges[k + 1] as number) * py > (edges[k + 2] as number);
    if (!inside) outer.push(i);
  }
  return outer;
}
