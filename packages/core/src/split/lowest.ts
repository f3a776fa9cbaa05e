import { dot, pointAt, type Vec3 } from '../math/index.ts';
import type { Mesh } from '../mesh/index.ts';
import { heightsAlong } from './body.ts';
import type { SidedPlane } from './seam.ts';

/**
 * The least height along `n` of what some half-spaces leave of a mesh's surface, mm.
 * Infinity where nothing is left. Facets are clipped one by one (Sutherland and Hodgman 1974), but
 * only those that reach lower than what was found before.
 */
export function lowestWithin(mesh: Mesh, n: Vec3, within: readonly SidedPlane[]): number {
  const { positions: p, triangles: t } = mesh;
  const h = heightsAlong(p, n);
  let low = Infinity;
  for (let f = 0; f < t.length; f += 3) {
    const i = t[f] as number;
    const j = t[f + 1] as number;
    const k = t[f + 2] as number;
    if (!(Math.min(h[i] as number, h[j] as number, h[k] as number) < low)) continue;
    let ring: readonly Vec3[] = [pointAt(p, i), pointAt(p, j), pointAt(p, k)];
    for (const { plane, side } of within) ring = clipRing(ring, plane.normal, plane.offsetMm, side);
    for (const q of ring) low = Math.min(low, dot(q, n));
  }
  return low;
}

function clipRing(ring: readonly Vec3[], n: Vec3, at: number, side: 'below' | 'above'): Vec3[] {
  const s = side === 'below' ? -1 : 1;
  return ring.flatMap((a, i) => {
    const b = ring[(i + 1) % ring.length] as Vec3;
    const da = s * (dot(a, n) - at);
    const db = s * (dot(b, n) - at);
    const kept = da >= 0 ? [a] : [];
    if (da >= 0 === db >= 0) return kept;
    const w = da / (da - db);
    return [...kept, a.map((x, k) => x + w * ((b[k] as number) - x)) as unknown as Vec3];
  });
}
