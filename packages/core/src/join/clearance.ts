/**
 * Distance from a drilled hole to triangles, exact to a stated precision: the proof that a wall
 * stands all along the hole. Frame of the cut face: x, y in the face, z along the hole.
 *
 * The distance from a point to a cylinder is a convex function of the point, so over a triangle it
 * is bounded below by its supporting plane at any point of it. Halving the triangle until that
 * bound meets the best value found gives the least distance, proved, with no sampling gap
 * (Boyd and Vandenberghe, Convex Optimization, 3.1.3: a convex function lies above its tangents).
 */

/** Cylinder about the line x = cx, y = cy, for z0 <= z <= z1, radius r; mm. */
export interface Hole {
  readonly cx: number;
  readonly cy: number;
  readonly z0: number;
  readonly z1: number;
  readonly r: number;
}

/** Distance from a point to the solid cylinder, mm; 0 inside. */
export function distanceToHole(hole: Hole, x: number, y: number, z: number): number {
  const out = Math.max(0, Math.hypot(x - hole.cx, y - hole.cy) - hole.r);
  const along = Math.max(0, hole.z0 - z, z - hole.z1);
  return Math.hypot(out, along);
}

/** Distance from an axis-parallel box to the solid cylinder, mm; exact. */
export function boxDistanceToHole(
  hole: Hole,
  x0: number, y0: number, z0: number,
  x1: number, y1: number, z1: number,
): number {
  const dx = Math.max(0, x0 - hole.cx, hole.cx - x1);
  const dy = Math.max(0, y0 - hole.cy, hole.cy - y1);
  const out = Math.max(0, Math.hypot(dx, dy) - hole.r);
  const along = Math.max(0, hole.z0 - z1, z0 - hole.z1);
  return Math.hypot(out, along);
} // prettier-ignore

/**
 * Reused by `triangleDistanceToHole`: 9 numbers per waiting triangle. One waits per halving, and
 * some 60 halvings bring any triangle of a part below the precision.
 */
const stack = new Float64Array(9 * 400);
const gradient = new Float64Array(3);

/** Value at (x, y, z), and one subgradient in `gradient`. */
function valueAndGradient(hole: Hole, x: number, y: number, z: number): number {
  const dx = x - hole.cx;
  const dy = y - hole.cy;
  const rho = Math.hypot(dx, dy);
  const out = Math.max(0, rho - hole.r);
  const along = z < hole.z0 ? z - hole.z0 : z > hole.z1 ? z - hole.z1 : 0;
  const f = Math.hypot(out, along);
  if (f > 0) {
    gradient[0] = rho > 0 ? (out / f) * (dx / rho) : 0;
    gradient[1] = rho > 0 ? (out / f) * (dy / rho) : 0;
    gradient[2] = along / f;
  } else gradient.fill(0);
  return f;
}

/** How far a least distance may lie above the true one, mm. */
export const CLEARANCE_PRECISION_MM = 1e-4;

/**
 * Least distance found from a triangle to the solid cylinder, mm: a value that is attained, or
 * `cap` if none is below it. The true least is no more than `CLEARANCE_PRECISION_MM` smaller.
 * Stops early with any value at or below `enough`.
 * @param t nine coordinates
 */
export function triangleDistanceToHole(
  hole: Hole,
  t: ArrayLike<number>,
  cap = Infinity,
  enough = 0,
): number {
  let best = cap;
  for (let k = 0; k < 9; k += 3)
    best = Math.min(
      best,
      distanceToHole(hole, t[k] as number, t[k + 1] as number, t[k + 2] as number),
    );
  for (let k = 0; k < 9; k++) stack[k] = t[k] as number;
  let depth = 1;
  while (depth > 0) {
    const s = --depth * 9;
    const ax = stack[s] as number, ay = stack[s + 1] as number, az = stack[s + 2] as number; // prettier-ignore
    const bx = stack[s + 3] as number, by = stack[s + 4] as number, bz = stack[s + 5] as number; // prettier-ignore
    const cx = stack[s + 6] as number, cy = stack[s + 7] as number, cz = stack[s + 8] as number; // prettier-ignore
    const mx = (ax + bx + cx) / 3;
    const my = (ay + by + cy) / 3;
    const mz = (az + bz + cz) / 3;
    const f = valueAndGradient(hole, mx, my, mz);
    if (f < best) best = f;
    if (best <= enough) return best;
    const gx = gradient[0] as number, gy = gradient[1] as number, gz = gradient[2] as number; // prettier-ignore
    const bound =
      f +
      Math.min(
        gx * (ax - mx) + gy * (ay - my) + gz * (az - mz),
        gx * (bx - mx) + gy * (by - my) + gz * (bz - mz),
        gx * (cx - mx) + gy * (cy - my) + gz * (cz - mz),
      );
    if (bound >= best - CLEARANCE_PRECISION_MM) continue;
    // Halve the longest edge; both halves wait, the nearer one on top.
    const ab = (ax - bx) ** 2 + (ay - by) ** 2 + (az - bz) ** 2;
    const bc = (bx - cx) ** 2 + (by - cy) ** 2 + (bz - cz) ** 2;
    const ca = (cx - ax) ** 2 + (cy - ay) ** 2 + (cz - az) ** 2;
    if (ab >= bc && ab >= ca) push2(s, cx, cy, cz, ax, ay, az, bx, by, bz);
    else if (bc >= ca) push2(s, ax, ay, az, bx, by, bz, cx, cy, cz);
    else push2(s, bx, by, bz, cx, cy, cz, ax, ay, az);
    depth += 2;
  }
  return best;
}

/** Two halves of the triangle o-p-q, cut from o to the middle of pq. */
function push2(
  s: number,
  ox: number, oy: number, oz: number,
  px: number, py: number, pz: number,
  qx: number, qy: number, qz: number,
): void {
  stack[s] = stack[s + 9] = ox;
  stack[s + 1] = stack[s + 10] = oy;
  stack[s + 2] = stack[s + 11] = oz;
  stack[s + 3] = px;
  stack[s + 4] = py;
  stack[s + 5] = pz;
  stack[s + 6] = stack[s + 12] = (px + qx) / 2;
  stack[s + 7] = stack[s + 13] = (py + qy) / 2;
  stack[s + 8] = stack[s + 14] = (pz + qz) / 2;
  stack[s + 15] = qx;
  stack[s + 16] = qy;
  stack[s + 17] = qz;
} // prettier-ignore
