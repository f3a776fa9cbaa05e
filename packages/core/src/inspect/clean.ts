import type { Mesh } from '../mesh/index.ts';
import { duplicateFacets } from './duplicate.ts';
import { degenerateFacets } from './degenerate.ts';
import { flippedEdges } from './flipped.ts';
import { orientFacets } from './orient.ts';
import { topologyOf, type Topology } from './topology.ts';

/** The mesh without what stands for nothing, one side out per shell, and what that took. */
export interface Cleaned {
  readonly topology: Topology;
  readonly collapsed: number;
  readonly duplicates: number;
  readonly turned: number;
  readonly conflicts: number;
}

/**
 * Takes away facets that name a vertex twice and facets that repeat another, then turns flipped
 * facets over. No vertex moves; the surface stays where it is.
 */
export function cleanFacets(topology: Topology): Cleaned {
  const { mesh } = topology;
  return cleanKnown(
    topology,
    degenerateFacets(mesh).collapsed,
    duplicateFacets(topology).same,
    flippedEdges(topology).length,
  );
}

/** The same when the flaws are known already. */
export function cleanKnown(
  topology: Topology,
  collapsed: readonly number[],
  same: readonly number[],
  flipped: number,
): Cleaned {
  const { mesh } = topology;
  const dropped = collapsed.length + same.length;
  const counts = { collapsed: collapsed.length, duplicates: same.length };
  // Most meshes: nothing to do, and nothing to pay.
  if (dropped + flipped === 0) return { topology, ...counts, turned: 0, conflicts: 0 };
  const before = dropped > 0 ? topologyOf(without(mesh, [...collapsed, ...same])) : topology;
  const { triangles, turned, conflicts } = orientFacets(before);
  const turnedMesh = { positions: mesh.positions, triangles };
  // Neighbours and shells do not depend on the facets' sides, but the pairing at crowded edges does.
  const crowded = before.tally.crowded > 0;
  const tally = { ...before.tally, flipped: conflicts };
  return {
    topology: crowded ? topologyOf(turnedMesh) : { ...before, mesh: turnedMesh, tally },
    ...counts,
    turned: turned.length,
    conflicts,
  };
}

/** The mesh without the facets listed. Vertices stay. */
export function without({ positions, triangles }: Mesh, facets: readonly number[]): Mesh {
  const drop = new Set(facets);
  return { positions, triangles: triangles.filter((_, i) => !drop.has((i / 3) | 0)) };
}
