import { edgeNeighbours, shellFacets, shells, type Mesh, type Shells } from '../mesh/index.ts';
import { pairCrowded } from './pairing.ts';

/** What every check needs, found once. */
export interface Topology {
  readonly mesh: Mesh;
  /** From `edgeNeighbours`. */
  readonly neighbours: Int32Array;
  /** The same with the facets of crowded edges paired where possible. */
  readonly paired: Int32Array;
  readonly shells: Shells;
  /** Facet numbers per shell. */
  readonly facets: readonly Uint32Array[];
}

export function topologyOf(mesh: Mesh): Topology {
  const neighbours = edgeNeighbours(mesh);
  const paired = pairCrowded(mesh, neighbours);
  const found = shells(mesh, paired);
  return { mesh, neighbours, paired, shells: found, facets: shellFacets(found) };
}
