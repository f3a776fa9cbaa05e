import type { Plane } from '../mesh/index.ts';
import type { Vec3 } from '../math/index.ts';
import { heightsAlong, type Body } from './body.ts';
import { segmentsOf, type Segments } from './segments.ts';

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

/** A plane section of a closed chain; sums over single facets (Green's theorem). */
export const sectionFigures = (
  body: Body,
  plane: Plane,
  seenFrom: Vec3 | null = null,
): SectionFigures => figuresOf(segmentsOf(body, plane, seenFrom), body);

/** @param body the one that the segments are of */
export function figuresOf(segments: Segments, { positions: p }: Body): SectionFigures {
  const { middles, twice, lengthMm, seenMm } = segments;
  let area = 0, length = 0, seen = 0, mx = 0, my = 0, mz = 0; // prettier-ignore
  for (let s = 0; s < twice.length; s++) {
    const l = lengthMm[s] as number;
    area += twice[s] as number;
    length += l;
    seen += seenMm[s] as number;
    mx += l * (middles[3 * s] as number);
    my += l * (middles[3 * s + 1] as number);
    mz += l * (middles[3 * s + 2] as number);
  }
  const at = (k: number, sum: number): number => (p[k] as number) + sum / (2 * length);
  return {
    areaMm2: area / 2,
    lengthMm: length,
    seenMm: seen,
    middleMm: length > 0 ? [at(0, mx), at(1, my), at(2, mz)] : null,
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
