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
  const at = (v: number, c: number): number => (p[3 * v + c] as number) - (p[c] as number);
  let six = 0;
  const sums = [0, 0, 0] as [number, number, number];
  for (let f = 0; f < t.length; f += 3) {
    const a = t[f] as number;
    const b = t[f + 1] as number;
    const c = t[f + 2] as number;
    const v =
      at(a, 0) * (at(b, 1) * at(c, 2) - at(b, 2) * at(c, 1)) +
      at(a, 1) * (at(b, 2) * at(c, 0) - at(b, 0) * at(c, 2)) +
      at(a, 2) * (at(b, 0) * at(c, 1) - at(b, 1) * at(c, 0));
    six += v;
    for (const k of [0, 1, 2] as const) sums[k] += v * (at(a, k) + at(b, k) + at(c, k));
  }
  const centre = sums.map((s, k) => (p[k] ?? 0) + (six !== 0 ? s / (4 * six) : 0));
  return { volumeMm3: six / 6, centreMm: centre as unknown as Vec3 };
}

/** Area of the section of a closed chain, mm2; sums over single facets (Green's theorem). */
export function sectionArea(body: Body, { normal: n, offsetMm: at }: Plane): number {
  const h = heightsAlong(body.positions, n);
  const { positions: p, triangles: t } = body;
  let twice = 0;
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
    const on = (x: number, m: number, d: number): number =>
      (p[3 * a + d] as number) + m * ((p[3 * x + d] as number) - (p[3 * a + d] as number)) - (p[d] as number); // prettier-ignore
    const qx = on(b, s, 0), qy = on(b, s, 1), qz = on(b, s, 2); // prettier-ignore
    const rx = on(c, r, 0), ry = on(c, r, 1), rz = on(c, r, 2); // prettier-ignore
    const v = n[0] * (qy * rz - qz * ry) + n[1] * (qz * rx - qx * rz) + n[2] * (qx * ry - qy * rx);
    twice += (h[a] as number) > at ? v : -v;
  }
  return twice / 2;
}

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
    const d = (v: number, k: number): number => (p[3 * v + k] as number) - (p[3 * a + k] as number);
    const x = d(b, 1) * d(c, 2) - d(b, 2) * d(c, 1);
    const y = d(b, 2) * d(c, 0) - d(b, 0) * d(c, 2);
    const z = d(b, 0) * d(c, 1) - d(b, 1) * d(c, 0);
    const twice = Math.sqrt(x * x + y * y + z * z);
    if (x * down[0] + y * down[1] + z * down[2] > Math.SQRT1_2 * twice) sum += twice / 2;
  }
  return sum;
}
