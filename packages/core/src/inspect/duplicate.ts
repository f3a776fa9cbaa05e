import { NON_MANIFOLD } from '../mesh/index.ts';
import type { Topology } from './topology.ts';

export interface DuplicateFacets {
  /** Facets that repeat an earlier one with the same side out. */
  readonly same: readonly number[];
  /** Facets that lie back to back on an earlier one. */
  readonly opposite: readonly number[];
}

/** Facets on the same three vertices as an earlier facet, in file order. */
export function duplicateFacets({ mesh, neighbours, tally, facets }: Topology): DuplicateFacets {
  // Twins share all their edges: crowded ones, or they make a shell of two facets.
  if (tally.crowded === 0 && facets.every((shell) => shell.length !== 2))
    return { same: [], opposite: [] };
  const t = mesh.triangles;
  const vertices = mesh.positions.length / 3;
  const same: number[] = [];
  const opposite: number[] = [];
  const seen = new Map<string, number>();
  for (let f = 0; 3 * f < t.length; f++) {
    // Twins share all three edges: either others do too, or the twin is the only neighbour.
    const n0 = neighbours[3 * f] as number;
    const n1 = neighbours[3 * f + 1] as number;
    const n2 = neighbours[3 * f + 2] as number;
    const twin = n0 > n1 ? (n0 > n2 ? n0 : n2) : n1 > n2 ? n1 : n2;
    if (!shared(n0, twin) || !shared(n1, twin) || !shared(n2, twin)) continue;
    const corners = [t[3 * f] as number, t[3 * f + 1] as number, t[3 * f + 2] as number];
    const turn = corners.indexOf(Math.min(...corners));
    const [a, b, c] = [0, 1, 2].map((i) => corners[(i + turn) % 3] as number) as [
      number,
      number,
      number,
    ];
    const way = b < c ? 1 : -1;
    const key = `${a} ${Math.min(b, c) * vertices + Math.max(b, c)}`;
    const first = seen.get(key);
    if (first === undefined) seen.set(key, way);
    else (first === way ? same : opposite).push(f);
  }
  return { same, opposite };
}

const shared = (neighbour: number, twin: number): boolean =>
  neighbour === NON_MANIFOLD || (neighbour >= 0 && neighbour === twin);
