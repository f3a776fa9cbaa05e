import type { Plane } from '../mesh/index.ts';
import type { Vec3 } from '../math/index.ts';
import { heightsAlong, type Body } from './body.ts';

/**
 * The facets that a plane meets, four numbers each: the facet, the vertex that stands alone on its
 * side, and the other two in the facet's order. A vertex in the plane counts as below it, so no case
 * is special.
 * @param h heights of the vertices along the plane's normal, mm
 */
export function facetsMet(t: Uint32Array, h: Float64Array, at: number): number[] {
  const met: number[] = [];
  for (let f = 0; f < t.length; f += 3) {
    const i = t[f] as number;
    const j = t[f + 1] as number;
    const k = t[f + 2] as number;
    const ui = (h[i] as number) > at;
    const uj = (h[j] as number) > at;
    const uk = (h[k] as number) > at;
    if (ui === uj && uj === uk) continue;
    const a = uj === uk ? i : ui === uk ? j : k;
    met.push(f / 3, a, a === i ? j : a === j ? k : i, a === i ? k : a === j ? i : j);
  }
  return met;
}

/** One number for an edge of a mesh, whichever end comes first. */
export const edgeKey = (i: number, j: number, vertices: number): number =>
  i < j ? i * vertices + j : j * vertices + i;

/** The lines in which a plane meets a body, facet by facet; seen from above material is left of them. */
export interface Segments {
  /** Mesh edges on which they start and end, see `edgeKey`. */
  readonly from: readonly number[];
  readonly to: readonly number[];
  /** Sums of both ends' coordinates, less twice the body's first vertex, three each, mm. */
  readonly middles: readonly number[];
  /** Twice the signed area towards that vertex, mm2: their sum is that of a closed chain. */
  readonly twice: readonly number[];
  /** Length on the skin, mm, and of that on facets that face the viewer; all of it where none is. */
  readonly lengthMm: readonly number[];
  readonly seenMm: readonly number[];
}

/**
 * @param seenFrom unit vector from the part to the viewer, or null
 * @param h heights of the vertices along the plane's normal, where they are known already, mm
 */
export function segmentsOf(
  body: Body,
  { normal: n, offsetMm: at }: Plane,
  seenFrom: Vec3 | null,
  h = heightsAlong(body.positions, n),
): Segments {
  const { positions: p, triangles, skin } = body;
  const ox = p[0] as number, oy = p[1] as number, oz = p[2] as number; // prettier-ignore
  const met = facetsMet(triangles, h, at);
  const from: number[] = [];
  const to: number[] = [];
  const middles: number[] = [];
  const twice: number[] = [];
  const lengthMm: number[] = [];
  const seenMm: number[] = [];
  for (let m = 0; m < met.length; m += 4) {
    const a = met[m + 1] as number;
    const b = met[m + 2] as number;
    const c = met[m + 3] as number;
    const s = (at - (h[a] as number)) / ((h[b] as number) - (h[a] as number));
    const r = (at - (h[a] as number)) / ((h[c] as number) - (h[a] as number));
    const ax = p[3 * a] as number, ay = p[3 * a + 1] as number, az = p[3 * a + 2] as number; // prettier-ignore
    const bx = (p[3 * b] as number) - ax, by = (p[3 * b + 1] as number) - ay, bz = (p[3 * b + 2] as number) - az; // prettier-ignore
    const cx = (p[3 * c] as number) - ax, cy = (p[3 * c + 1] as number) - ay, cz = (p[3 * c + 2] as number) - az; // prettier-ignore
    const qx = ax - ox + s * bx, qy = ay - oy + s * by, qz = az - oz + s * bz; // prettier-ignore
    const rx = ax - ox + r * cx, ry = ay - oy + r * cy, rz = az - oz + r * cz; // prettier-ignore
    const v = n[0] * (qy * rz - qz * ry) + n[1] * (qz * rx - qx * rz) + n[2] * (qx * ry - qy * rx);
    const up = (h[a] as number) > at;
    const [ab, ac] = [edgeKey(a, b, h.length), edgeKey(a, c, h.length)];
    from.push(up ? ab : ac);
    to.push(up ? ac : ab);
    middles.push(qx + rx, qy + ry, qz + rz);
    twice.push(up ? v : -v);
    const onSkin = skin[met[m] as number] === 1;
    const l = onSkin ? Math.sqrt((rx - qx) ** 2 + (ry - qy) ** 2 + (rz - qz) ** 2) : 0;
    lengthMm.push(l);
    // (a, b, c) is turned from the facet's own order: the normal keeps its sense.
    const facing = seenFrom && (by * cz - bz * cy) * seenFrom[0] + (bz * cx - bx * cz) * seenFrom[1] + (bx * cy - by * cx) * seenFrom[2]; // prettier-ignore
    seenMm.push(facing === null || facing > 0 ? l : 0);
  }
  return { from, to, middles, twice, lengthMm, seenMm };
}
