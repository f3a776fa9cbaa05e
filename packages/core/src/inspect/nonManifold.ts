import { NON_MANIFOLD } from '../mesh/index.ts';
import { edgeEnd, edgeStart } from './edges.ts';
import type { Topology } from './topology.ts';

/** An edge of three or more facets. */
export interface CrowdedEdge {
  /** One of its edge numbers (3 * facet + corner). */
  readonly edge: number;
  readonly facets: number;
  /** Facets that run one way less those that run the other: 0 where the sides can be paired. */
  readonly surplus: number;
}

/** Edges that three or more facets share, in file order. */
export function crowdedEdges({ mesh, neighbours, tally }: Topology): CrowdedEdge[] {
  if (tally.crowded === 0) return [];
  const t = mesh.triangles;
  const vertices = mesh.positions.length / 3;
  const found = new Map<number, { edge: number; facets: number; surplus: number }>();
  for (let e = 0; e < neighbours.length; e++) {
    if (neighbours[e] !== NON_MANIFOLD) continue;
    const a = edgeStart(t, e);
    const b = edgeEnd(t, e);
    const key = a < b ? a * vertices + b : b * vertices + a;
    const entry = found.get(key) ?? { edge: e, facets: 0, surplus: 0 };
    entry.facets++;
    entry.surplus += a < b ? 1 : -1;
    found.set(key, entry);
  }
  return [...found.values()];
}
