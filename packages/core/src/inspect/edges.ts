import type { Vec3 } from '../math/index.ts';
import type { Mesh } from '../mesh/index.ts';

/** An edge is named by the number e = 3 * facet + corner: it runs from that corner to the next. */
export const edgeStart = (t: Uint32Array, e: number): number => t[e] as number;
export const edgeEnd = (t: Uint32Array, e: number): number =>
  t[e % 3 === 2 ? e - 2 : e + 1] as number;

/** The middle of the edge e, mm. */
export function edgeMiddle({ positions: p, triangles: t }: Mesh, e: number): Vec3 {
  const a = 3 * edgeStart(t, e);
  const b = 3 * edgeEnd(t, e);
  const at = (k: number): number => ((p[a + k] as number) + (p[b + k] as number)) / 2;
  return [at(0), at(1), at(2)];
}

/** The centroid of the facet f, mm. */
export function facetMiddle({ positions: p, triangles: t }: Mesh, f: number): Vec3 {
  const a = 3 * (t[3 * f] as number);
  const b = 3 * (t[3 * f + 1] as number);
  const c = 3 * (t[3 * f + 2] as number);
  const at = (k: number): number =>
    ((p[a + k] as number) + (p[b + k] as number) + (p[c + k] as number)) / 3;
  return [at(0), at(1), at(2)];
}
