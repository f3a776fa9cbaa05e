import { planarHull } from '../hull/index.ts';
import type { Body, Turned } from './turned.ts';
import { largestInscribedCircle } from './inscribed.ts';

type Point = readonly [number, number];

/** What a turned part touches the plate with; plan coordinates of the turned frame, mm. */
export interface Contact {
  readonly rests: 'face' | 'edge' | 'point';
  readonly areaMm2: number;
  /** Middle of the contact faces, and their second moments about it: xx, xy, yy, mm4. */
  readonly middle: Point;
  readonly momentsMm4: readonly [number, number, number];
  /** Convex hull of all that touches, counter-clockwise; one or two corners for a point or line. */
  readonly base: readonly Point[];
  readonly circle: { readonly centre: Point; readonly radiusMm: number };
}

/**
 * Facets and vertices no higher than `bandMm` above the lowest point count as touching: the first
 * layer is squeezed onto the plate by about that much. Of a part hardly higher than that (in metres
 * by mistake, say) it is the lowest tenth, or all of it would touch.
 * @param withCircle false leaves the inscribed circle out (radius 0): it can take a while
 */
export function contactOf(body: Body, box: Turned, bandMm: number, withCircle = true): Contact {
  const { x, y, z, lean, facets, mesh } = body;
  const t = mesh.triangles;
  const top = box.z0 + Math.min(bandMm, (box.z1 - box.z0) / 10);
  const touching: number[] = [];
  for (let i = 0; i < z.length; i++) if ((z[i] as number) <= top) touching.push(i);
  const base = planarHull(
    touching.length,
    (i) => x[touching[i] as number] as number,
    (i) => y[touching[i] as number] as number,
  ).map((i): Point => [x[touching[i] as number] as number, y[touching[i] as number] as number]);

  let area = 0, sx = 0, sy = 0, sxx = 0, sxy = 0, syy = 0; // prettier-ignore
  const edges = new Map<string, readonly [number, number]>();
  // Moments are taken about the base's first corner, near the contact, so that no digits are lost.
  const [ox, oy] = base[0] ?? [0, 0];
  for (let f = 0; f < lean.length; f++) {
    const a = t[3 * f] as number;
    const b = t[3 * f + 1] as number;
    const c = t[3 * f + 2] as number;
    if (!((lean[f] as number) < 0)) continue;
    if (!((z[a] as number) <= top && (z[b] as number) <= top && (z[c] as number) <= top)) continue;
    const plan = -(lean[f] as number) * (facets.areasMm2[f] as number);
    const ax = (x[a] as number) - ox, ay = (y[a] as number) - oy; // prettier-ignore
    const bx = (x[b] as number) - ox, by = (y[b] as number) - oy; // prettier-ignore
    const cx = (x[c] as number) - ox, cy = (y[c] as number) - oy; // prettier-ignore
    const tx = ax + bx + cx;
    const ty = ay + by + cy;
    area += plan;
    sx += (plan * tx) / 3;
    sy += (plan * ty) / 3;
    sxx += (plan * (tx * tx + ax * ax + bx * bx + cx * cx)) / 12;
    sxy += (plan * (tx * ty + ax * ay + bx * by + cx * cy)) / 12;
    syy += (plan * (ty * ty + ay * ay + by * by + cy * cy)) / 12;
    for (const [p, q] of [
      [a, b],
      [b, c],
      [c, a],
    ] as const) {
      const key = p < q ? `${p} ${q}` : `${q} ${p}`;
      if (!edges.delete(key)) edges.set(key, [p, q]);
    }
  }
  const rests = base.length > 2 && area > 0 ? 'face' : spread(base) > bandMm ? 'edge' : 'point';
  const mx = area > 0 ? sx / area : 0;
  const my = area > 0 ? sy / area : 0;
  const outline = [...edges.values()].map(
    ([p, q]) => [x[p], y[p], x[q], y[q]] as unknown as readonly [number, number, number, number],
  );
  return {
    rests,
    areaMm2: area,
    middle: [mx + ox, my + oy],
    momentsMm4: [sxx - area * mx * mx, sxy - area * mx * my, syy - area * my * my],
    base,
    circle: largestInscribedCircle(withCircle ? outline : []),
  };
}

function spread(points: readonly Point[]): number {
  let most = 0;
  for (const [x, y] of points)
    for (const [u, v] of points) most = Math.max(most, Math.hypot(x - u, y - v));
  return most;
}
