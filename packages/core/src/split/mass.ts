import type { Plane } from '../mesh/index.ts';
import type { Vec3 } from '../math/index.ts';
import { heightsAlong, type Body } from './body.ts';

export interface Mass {
  readonly volumeMm3: number;
  readonly centreMm: Vec3;
}

/** Volume and its centre, of a closed chain; the centre of an empty one is its first vertex. */
export function massOf(body: Body): Mass {
  const { positions: p, triangles: t } = body;
  const ox = p[0] ?? 0;
  const oy = p[1] ?? 0;
  const oz = p[2] ?? 0;
  let six = 0, sx = 0, sy = 0, sz = 0; // prettier-ignore
  for (let f = 0; f < t.length; f += 3) {
    const a = 3 * (t[f] as number);
    const b = 3 * (t[f + 1] as number);
    const c = 3 * (t[f + 2] as number);
    const ax = (p[a] as number) - ox, ay = (p[a + 1] as number) - oy, az = (p[a + 2] as number) - oz; // prettier-ignore
    const bx = (p[b] as number) - ox, by = (p[b + 1] as number) - oy, bz = (p[b + 2] as number) - oz; // prettier-ignore
    const cx = (p[c] as number) - ox, cy = (p[c + 1] as number) - oy, cz = (p[c + 2] as number) - oz; // prettier-ignore
    const v = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
    six += v;
    sx += v * (ax + bx + cx);
    sy += v * (ay + by + cy);
    sz += v * (az + bz + cz);
  }
  const sums = [sx, sy, sz];
  const centre = sums.map((s, k) => (p[k] ?? 0) + (six !== 0 ? s / (4 * six) : 0));
  return { volumeMm3: six / 6, centreMm: centre as unknown as Vec3 };
}

export interface SectionFigures {
  /** Of a closed chain, mm2. */
  readonly areaMm2: number;
  /** Outline on the skin, mm, and the part of it on facets that face the viewer. */
  readonly lengthMm: number;
  readonly seenMm: number;
  /** Middle of the outline; null where nothing is cut. */
  readonly middleMm: Vec3 | null;
}

/** A plane section of a closed chain in one pass; sums over single facets (Green's theorem). */
export function sectionFigures(
  body: Body,
  { normal: n, offsetMm: at }: Plane,
  seenFrom: Vec3 | null = null,
): SectionFigures {
  const h = heightsAlong(body.positions, n);
  const { positions: p, triangles: t, skin } = body;
  const ox = p[0] as number;
  const oy = p[1] as number;
  const oz = p[2] as number;
  let twice = 0, length = 0, seen = 0, mx = 0, my = 0, mz = 0; // prettier-ignore
  for (let f = 0; f < t.length; f += 3) {
    const i = t[f] as number;
    const j = t[f + 1] as number;
    const k = t[f + 2] as number;
    const ui = (h[i] as number) > at;
    const uj = (h[j] as number) > at;
    const uk = (h[k] as number) > at;
    if (ui === uj && uj === uk) continue;
    const a = uj === uk ? i : ui === uk ? j : k;
    const b = a === i ? j : a === j ? k : i;
    const c = a === i ? k : a === j ? i : j;
    const s = (at - (h[a] as number)) / ((h[b] as number) - (h[a] as number));
    const r = (at - (h[a] as number)) / ((h[c] as number) - (h[a] as number));
    const ax = p[3 * a] as number, ay = p[3 * a + 1] as number, az = p[3 * a + 2] as number; // prettier-ignore
    const bx = (p[3 * b] as number) - ax, by = (p[3 * b + 1] as number) - ay, bz = (p[3 * b + 2] as number) - az; // prettier-ignore
    const cx = (p[3 * c] as number) - ax, cy = (p[3 * c + 1] as number) - ay, cz = (p[3 * c + 2] as number) - az; // prettier-ignore
    const qx = ax - ox + s * bx, qy = ay - oy + s * by, qz = az - oz + s * bz; // prettier-ignore
    const rx = ax - ox + r * cx, ry = ay - oy + r * cy, rz = az - oz + r * cz; // prettier-ignore
    const v = n[0] * (qy * rz - qz * ry) + n[1] * (qz * rx - qx * rz) + n[2] * (qx * ry - qy * rx);
    twice += (h[a] as number) > at ? v : -v;
    if (!skin[f / 3]) continue;
    const l = Math.sqrt((rx - qx) ** 2 + (ry - qy) ** 2 + (rz - qz) ** 2);
    length += l;
    mx += l * (qx + rx);
    my += l * (qy + ry);
    mz += l * (qz + rz);
    if (!seenFrom) continue;
    // (a, b, c) is turned from (i, j, k): the normal keeps its sense.
    const facing = (by * cz - bz * cy) * seenFrom[0] + (bz * cx - bx * cz) * seenFrom[1] + (bx * cy - by * cx) * seenFrom[2]; // prettier-ignore
    if (facing > 0) seen += l;
  }
  return {
    areaMm2: twice / 2,
    lengthMm: length,
    seenMm: seenFrom ? seen : length,
    middleMm:
      length > 0 ? [ox + mx / (2 * length), oy + my / (2 * length), oz + mz / (2 * length)] : null,
  };
}

export const sectionArea = (body: Body, plane: Plane): number =>
  sectionFigures(body, plane).areaMm2;

/**
 * Area of skin that faces down steeper than 45 degrees, mm2, when `down` points down; what lies
 * within 0.1 mm of the lowest point stands on the plate and does not count.
 */
export function overhangArea(body: Body, down: Vec3): number {
  const { positions: p, triangles: t } = body;
  const h = heightsAlong(p, down);
  let lowest = -Infinity;
  for (const x of h) if (x > lowest) lowest = x;
  let sum = 0;
  for (let f = 0; f < body.skin.length; f++) {
    if (!body.skin[f]) continue;
    const a = t[3 * f] as number;
    const b = t[3 * f + 1] as number;
    const c = t[3 * f + 2] as number;
    if (Math.min(h[a] as number, h[b] as number, h[c] as number) > lowest - 0.1) continue;
    const ax = p[3 * a] as number, ay = p[3 * a + 1] as number, az = p[3 * a + 2] as number; // prettier-ignore
    const ux = (p[3 * b] as number) - ax, uy = (p[3 * b + 1] as number) - ay, uz = (p[3 * b + 2] as number) - az; // prettier-ignore
    const vx = (p[3 * c] as number) - ax, vy = (p[3 * c + 1] as number) - ay, vz = (p[3 * c + 2] as number) - az; // prettier-ignore
    const x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx; // prettier-ignore
    const twice = Math.sqrt(x * x + y * y + z * z);
    if (x * down[0] + y * down[1] + z * down[2] > Math.SQRT1_2 * twice) sum += twice / 2;
  }
  return sum;
}
