import { facetsMet } from './segments.ts';
import type { Body } from './body.ts';

/** Points of both sides of a cut, flat xyz, mm. */
export interface HalfPoints {
  readonly below: Float64Array;
  readonly above: Float64Array;
}

/**
 * Points whose convex hulls are those of both sides of a cut: the body's vertices and those of the
 * cut, the latter twice. No facets are made: a fraction of the work of `clipSkin`, for sides that are
 * only to be measured. Null where all of the body is on one side.
 * @param h heights of the body's vertices along the plane's normal, mm
 */
export function halfPoints(body: Body, h: Float64Array, offset: number): HalfPoints | null {
  const { positions: p, triangles } = body;
  let up = 0;
  for (let i = 0; i < h.length; i++) if ((h[i] as number) > offset) up++;
  if (up === 0 || up === h.length) return null;
  const met = facetsMet(triangles, h, offset);
  const rim = (3 * met.length) / 2;
  const above = new Float64Array(3 * up + rim);
  const below = new Float64Array(3 * (h.length - up) + rim);
  let a = 0;
  let b = 0;
  for (let i = 0, j = 0; i < h.length; i++, j += 3)
    if ((h[i] as number) > offset) {
      above[a++] = p[j] as number;
      above[a++] = p[j + 1] as number;
      above[a++] = p[j + 2] as number;
    } else {
      below[b++] = p[j] as number;
      below[b++] = p[j + 1] as number;
      below[b++] = p[j + 2] as number;
    }
  const crossing = (i: number, j: number): void => {
    const from = 3 * Math.min(i, j);
    const to = 3 * Math.max(i, j);
    const start = h[from / 3] as number;
    const s = (offset - start) / ((h[to / 3] as number) - start);
    for (let c = 0; c < 3; c++) {
      const x = (p[from + c] as number) + s * ((p[to + c] as number) - (p[from + c] as number));
      above[a++] = x;
      below[b++] = x;
    }
  };
  for (let m = 0; m < met.length; m += 4) {
    crossing(met[m + 1] as number, met[m + 2] as number);
    crossing(met[m + 1] as number, met[m + 3] as number);
  }
  return { below, above };
}
