import type { Vec3 } from '../math/index.ts';
import type { Mesh } from './mesh.ts';

/**
 * How often a closed surface winds round a point: 1 inside, 0 outside, -1 inside an inside-out
 * body, and sums of these where shells overlap. A fraction says that the surface is open (then it
 * is the share of the view that it covers) or that the point lies on it.
 *
 * Method: the sum of the facets' solid angles over 4 pi (van Oosterom & Strackee, IEEE Trans.
 * Biomed. Eng. 30(2) 1983, 125-126). O(facets).
 *
 * @param facets triangle numbers to take, or null for all
 */
export function windingNumber(
  { positions: p, triangles: t }: Mesh,
  facets: ArrayLike<number> | null,
  [x, y, z]: Vec3,
): number {
  const count = facets === null ? t.length / 3 : facets.length;
  let sum = 0;
  for (let k = 0; k < count; k++) {
    const f = 3 * (facets === null ? k : (facets[k] as number));
    const a = 3 * (t[f] as number);
    const b = 3 * (t[f + 1] as number);
    const c = 3 * (t[f + 2] as number);
    const ax = (p[a] as number) - x, ay = (p[a + 1] as number) - y, az = (p[a + 2] as number) - z; // prettier-ignore
    const bx = (p[b] as number) - x, by = (p[b + 1] as number) - y, bz = (p[b + 2] as number) - z; // prettier-ignore
    const cx = (p[c] as number) - x, cy = (p[c + 1] as number) - y, cz = (p[c + 2] as number) - z; // prettier-ignore
    const la = Math.sqrt(ax * ax + ay * ay + az * az);
    const lb = Math.sqrt(bx * bx + by * by + bz * bz);
    const lc = Math.sqrt(cx * cx + cy * cy + cz * cz);
    const det = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
    const flat =
      la * lb * lc +
      (ax * bx + ay * by + az * bz) * lc +
      (bx * cx + by * cy + bz * cz) * la +
      (cx * ax + cy * ay + cz * az) * lb;
    sum += Math.atan2(det, flat);
  }
  return sum / (2 * Math.PI);
}
