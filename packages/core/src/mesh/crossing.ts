import type { Vec3 } from '../math/index.ts';
import type { Mesh } from './mesh.ts';
import type { PlaneFrame } from './plane.ts';

/**
 * The cut of single facets by a plane: what sections and sweeps have in common. A vertex counts
 * as below the plane when its height is less than a level that lies a few ulp under the plane, so
 * that a vertex in the plane is above it in spite of rounding, for every facet alike.
 */

/** Height of each vertex along a direction. */
export function heightsAlong({ positions: p }: Mesh, d: Vec3): Float64Array {
  const heights = new Float64Array(p.length / 3);
  for (let i = 0; i < heights.length; i++)
    heights[i] =
      d[0] * (p[3 * i] as number) +
      d[1] * (p[3 * i + 1] as number) +
      d[2] * (p[3 * i + 2] as number);
  return heights;
}

/** How far rounding may have put a vertex of the plane off it: 8 ulp of the greatest height. */
export function roundingOf(heights: Float64Array, offset: number): number {
  let most = Math.abs(offset);
  for (const h of heights) if (Math.abs(h) > most) most = Math.abs(h);
  return most * 2 ** -49;
}

/** The corners whose edges facet f enters and leaves the upper side by: down in bits 0-1, up in 2-3. */
export function edgesOf(t: Uint32Array, heights: Float64Array, level: number, f: number): number {
  const a = (heights[t[3 * f] as number] as number) < level;
  const b = (heights[t[3 * f + 1] as number] as number) < level;
  const c = (heights[t[3 * f + 2] as number] as number) < level;
  const down = !a && b ? 0 : !b && c ? 1 : 2;
  const up = a && !b ? 0 : b && !c ? 1 : 2;
  return down | (up << 2);
}

/**
 * The segment of the cut facet f in the plane's frame, material to its left seen from the tip of
 * the normal: x0, y0, x1, y1 into `out`. It begins where the facet's border goes down through the
 * plane and ends where it comes up.
 */
export function segmentOf(
  mesh: Mesh,
  frame: PlaneFrame,
  offset: number,
  heights: Float64Array,
  level: number,
  f: number,
  out: Float64Array,
): void {
  const t = mesh.triangles;
  const edges = edgesOf(t, heights, level, f);
  const down = edges & 3;
  const up = edges >> 2;
  const downLow = t[3 * f + ((down + 1) % 3)] as number;
  const upHigh = t[3 * f + ((up + 1) % 3)] as number;
  crossing(mesh, frame, offset, heights, downLow, t[3 * f + down] as number, out, 0);
  crossing(mesh, frame, offset, heights, t[3 * f + up] as number, upHigh, out, 2);
}

/**
 * Where the edge from vertex `low` under the plane to `high` on or over it meets the plane. Both
 * facets of the edge compute it in this order, and a vertex in the plane is met exactly.
 */
function crossing(
  { positions: p }: Mesh,
  { u, v, origin }: PlaneFrame,
  offset: number,
  heights: Float64Array,
  low: number,
  high: number,
  out: Float64Array,
  at: number,
): void {
  const below = offset - (heights[low] as number);
  const above = Math.max(0, (heights[high] as number) - offset);
  const s = below / (below + above);
  const r = 1 - s;
  const dx = r * (p[3 * low] as number) + s * (p[3 * high] as number) - origin[0];
  const dy = r * (p[3 * low + 1] as number) + s * (p[3 * high + 1] as number) - origin[1];
  const dz = r * (p[3 * low + 2] as number) + s * (p[3 * high + 2] as number) - origin[2];
  out[at] = u[0] * dx + u[1] * dy + u[2] * dz;
  out[at + 1] = v[0] * dx + v[1] * dy + v[2] * dz;
}
