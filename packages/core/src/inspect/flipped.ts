import { runsAgainst } from '../mesh/index.ts';
import { edgeEnd, edgeStart } from './edges.ts';
import type { Topology } from './topology.ts';

/** Edges whose two facets face opposite ways, one edge number (3 * facet + corner) for each. */
export function flippedEdges({ mesh, neighbours, tally }: Topology): number[] {
  if (tally.flipped === 0) return [];
  const t = mesh.triangles;
  const found: number[] = [];
  for (let e = 0; e < neighbours.length; e++) {
    const g = neighbours[e] as number;
    // Each edge once: from the facet with the lower number.
    if (g > e / 3 && !runsAgainst(t, g, edgeStart(t, e), edgeEnd(t, e))) found.push(e);
  }
  return found;
}
