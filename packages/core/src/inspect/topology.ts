import type { Vec3 } from '../math/index.ts';
import { edgeNeighbours, shellFacets, shells, type Mesh, type Shells } from '../mesh/index.ts';

/** What every check needs, found once. */
export interface Topology {
  readonly mesh: Mesh;
  readonly neighbours: Int32Array;
  readonly shells: Shells;
  /** Facet numbers per shell. */
  readonly facets: readonly Uint32Array[];
}

export function topologyOf(mesh: Mesh): Topology {
  const neighbours = edgeNeighbours(mesh);
  const found = shells(mesh, neighbours);
  return { mesh, neighbours, shells: found, facets: shellFacets(found) };
}

/** The two vertices of edge e = 3 * facet + corner, in the facet's order. */
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
  const at = (k: number): number =>
    [0, 1, 2].reduce((sum, i) => sum + (p[3 * (t[3 * f + i] as number) + k] as number), 0) / 3;
  return [at(0), at(1), at(2)];
}
