import { runsAgainst } from '../mesh/index.ts';
import { edgeEnd, edgeStart } from './edges.ts';
import type { Topology } from './topology.ts';

export interface Orientation {
  /** The facets with one side out within each shell. */
  readonly triangles: Uint32Array;
  /** Facets turned over, in file order. */
  readonly turned: readonly number[];
  /** Edges that no choice of sides can satisfy: the shell has only one side, like a Moebius strip. */
  readonly conflicts: number;
}

/**
 * Turns facets over until neighbours agree, shell by shell, and as few as possible: where most of
 * a shell would have to be turned, the others are.
 */
export function orientFacets({ mesh, paired, facets }: Topology): Orientation {
  const t = mesh.triangles;
  // 1 as it is, -1 turned over, 0 not reached yet.
  const side = new Int8Array(t.length / 3);
  const stack = new Uint32Array(side.length);
  let top = 0;
  let conflicts = 0;
  for (const shell of facets) {
    stack[top++] = shell[0] as number;
    side[shell[0] as number] = 1;
    while (top > 0) {
      const f = stack[--top] as number;
      for (let e = 3 * f; e < 3 * f + 3; e++) {
        const g = paired[e] as number;
        if (g < 0) continue;
        const agree = runsAgainst(t, g, edgeStart(t, e), edgeEnd(t, e)) ? 1 : -1;
        const want = (side[f] as number) * agree;
        if (side[g] === 0) {
          side[g] = want;
          stack[top++] = g;
        } else if (side[g] !== want && f < g) conflicts++;
      }
    }
    let balance = 0;
    for (const f of shell) balance += side[f] as number;
    if (balance < 0) for (const f of shell) side[f] = -(side[f] as number);
  }
  const triangles = t.slice();
  const turned: number[] = [];
  for (let f = 0; f < side.length; f++)
    if (side[f] === -1) {
      turned.push(f);
      triangles[3 * f + 1] = t[3 * f + 2] as number;
      triangles[3 * f + 2] = t[3 * f + 1] as number;
    }
  return { triangles, turned, conflicts };
}
