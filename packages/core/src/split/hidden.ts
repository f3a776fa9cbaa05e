import type { Plane } from '../mesh/index.ts';
import type { Vec3 } from '../math/index.ts';
import { heightsAlong, type Body } from './body.ts';

export interface Hidden {
  /** Outline of the holes in a section, on the skin, mm, and of that on facets that face the viewer. */
  readonly lengthMm: number;
  readonly seenMm: number;
}

const NOTHING: Hidden = { lengthMm: 0, seenMm: 0 };

/**
 * The part of a section's outline that runs round holes: a cut through a hollow shows nothing of it
 * outside, and it is no seam to be filled and sanded. Lines are followed from facet to facet over
 * their shared edges; those with the material outside are holes. O(facets).
 */
export function hiddenOutline(
  body: Body,
  { normal: n, offsetMm: at }: Plane,
  seenFrom: Vec3 | null,
): Hidden {
  const h = heightsAlong(body.positions, n);
  const { positions: p, triangles: t, skin } = body;
  const ox = p[0] as number, oy = p[1] as number, oz = p[2] as number; // prettier-ignore
  const startsAt = new Map<number, number>();
  const ends: number[] = [];
  /** Of the segments: twice the area towards the first vertex, length on the skin, and seen. */
  const twice: number[] = [];
  const length: number[] = [];
  const seen: number[] = [];
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
    const up = (h[a] as number) > at;
    const ab = a < b ? a * h.length + b : b * h.length + a;
    const ac = a < c ? a * h.length + c : c * h.length + a;
    startsAt.set(up ? ab : ac, ends.length);
    ends.push(up ? ac : ab);
    const s = (at - (h[a] as number)) / ((h[b] as number) - (h[a] as number));
    const r = (at - (h[a] as number)) / ((h[c] as number) - (h[a] as number));
    const ax = p[3 * a] as number, ay = p[3 * a + 1] as number, az = p[3 * a + 2] as number; // prettier-ignore
    const bx = (p[3 * b] as number) - ax, by = (p[3 * b + 1] as number) - ay, bz = (p[3 * b + 2] as number) - az; // prettier-ignore
    const cx = (p[3 * c] as number) - ax, cy = (p[3 * c + 1] as number) - ay, cz = (p[3 * c + 2] as number) - az; // prettier-ignore
    const qx = ax - ox + s * bx, qy = ay - oy + s * by, qz = az - oz + s * bz; // prettier-ignore
    const rx = ax - ox + r * cx, ry = ay - oy + r * cy, rz = az - oz + r * cz; // prettier-ignore
    const v = n[0] * (qy * rz - qz * ry) + n[1] * (qz * rx - qx * rz) + n[2] * (qx * ry - qy * rx);
    twice.push(up ? v : -v);
    const l = skin[f / 3] ? Math.sqrt((rx - qx) ** 2 + (ry - qy) ** 2 + (rz - qz) ** 2) : 0;
    length.push(l);
    const facing = seenFrom && (by * cz - bz * cy) * seenFrom[0] + (bz * cx - bx * cz) * seenFrom[1] + (bx * cy - by * cx) * seenFrom[2]; // prettier-ignore
    seen.push(facing === null || facing > 0 ? l : 0);
  }
  const done = new Uint8Array(ends.length);
  let hidden = NOTHING;
  for (let first = 0; first < ends.length; first++) {
    if (done[first]) continue;
    let area = 0;
    let lengthMm = hidden.lengthMm;
    let seenMm = hidden.seenMm;
    let at: number | undefined = first;
    while (at !== undefined && !done[at]) {
      done[at] = 1;
      area += twice[at] as number;
      lengthMm += length[at] as number;
      seenMm += seen[at] as number;
      at = startsAt.get(ends[at] as number);
    }
    // A line that does not come back to its start ends at an open border.
    if (at === first && area < 0) hidden = { lengthMm, seenMm };
  }
  return hidden;
}
