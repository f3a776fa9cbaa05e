import {
  pairEdges,
  shellFacets,
  shells,
  type EdgeTally,
  type Mesh,
  type Shells,
} from '../mesh/index.ts';
import { pairCrowded } from './pairing.ts';

/** What every check needs, found once. */
export interface Topology {
  readonly mesh: Mesh;
  /** From `edgeNeighbours`. */
  readonly neighbours: Int32Array;
  /** What the neighbours hold of open, crowded and flipped edges. */
  readonly tally: EdgeTally;
  /** The neighbours with the facets of crowded edges paired where possible. */
  readonly paired: Int32Array;
  readonly shells: Shells;
  /** Facet numbers per shell. */
  readonly facets: readonly Uint32Array[];
}

export function topologyOf(mesh: Mesh): Topology {
  const { neighbours, tally } = pairEdges(mesh);
  const paired = tally.crowded > 0 ? pairCrowded(mesh, neighbours) : neighbours;
  const found = shells(mesh, paired);
  return { mesh, neighbours, tally, paired, shells: found, facets: shellFacets(found) };
}
