import { pointAt, type Vec3 } from '../math/index.ts';
import type { Mesh } from '../mesh/index.ts';
import { degrees } from '../units.ts';

/** How the skin stands at a height: where the new piece must meet the stump. */
export interface SkinAtCut {
  /** Outline of the cut, mm. */
  readonly outlineMm: number;
  /** Share of it where the skin leans more than `LEAN_DEG` from the vertical. */
  readonly slantedShare: number;
  /** Largest lean, degrees. */
  readonly steepestDeg: number;
}

/** A skin that leans more shows a step when the height is a layer off: common practice, no source. */
export const LEAN_DEG = 30;

/** Sums over the facets that the plane z = height crosses; the outline is theirs. */
export function skinAt(mesh: Mesh, heightMm: number): SkinAtCut {
  const { positions, triangles } = mesh;
  let outlineMm = 0;
  let slanted = 0;
  let steepestDeg = 0;
  for (let f = 0; f < triangles.length; f += 3) {
    const p = [0, 1, 2].map((k) => pointAt(positions, triangles[f + k] as number));
    const length = crossing(p as [Vec3, Vec3, Vec3], heightMm);
    if (length <= 0) continue;
    outlineMm += length;
    const [a, b, c] = p as [Vec3, Vec3, Vec3];
    const nx = (b[1] - a[1]) * (c[2] - a[2]) - (b[2] - a[2]) * (c[1] - a[1]);
    const ny = (b[2] - a[2]) * (c[0] - a[0]) - (b[0] - a[0]) * (c[2] - a[2]);
    const nz = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    const leanDeg = degrees(Math.atan2(Math.abs(nz), Math.hypot(nx, ny)));
    steepestDeg = Math.max(steepestDeg, leanDeg);
    if (leanDeg > LEAN_DEG) slanted += length;
  }
  return { outlineMm, slantedShare: outlineMm > 0 ? slanted / outlineMm : 0, steepestDeg };
}

/** Length of a facet's cut with the plane z = h; a corner in the plane counts as above it. */
function crossing(p: readonly [Vec3, Vec3, Vec3], h: number): number {
  const cut: Vec3[] = [];
  for (let k = 0; k < 3; k++) {
    const a = p[k] as Vec3;
    const b = p[(k + 1) % 3] as Vec3;
    if (a[2] < h === b[2] < h) continue;
    const t = (h - a[2]) / (b[2] - a[2]);
    cut.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), h]);
  }
  const [u, v] = cut;
  return u && v ? Math.hypot(u[0] - v[0], u[1] - v[1]) : 0;
}
