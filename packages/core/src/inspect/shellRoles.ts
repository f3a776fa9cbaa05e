import { pointAt } from '../math/index.ts';
import {
  boundsOf,
  massOfTriangles,
  type MassProperties,
  NON_MANIFOLD,
  OPEN,
  windingNumber,
  type Box3,
  type Mesh,
} from '../mesh/index.ts';
import { facetMiddle } from './edges.ts';
import type { Topology } from './topology.ts';

/**
 * What a shell is: a `body` of material, a `void` within a body, an `insideOut` shell (it faces
 * inwards, but there is no body around it to be hollow), or `open` (it encloses nothing).
 */
export type ShellRole = 'body' | 'void' | 'insideOut' | 'open';

export interface Shell {
  readonly role: ShellRole;
  readonly facets: Uint32Array;
  /** Signed; null for an open shell. */
  readonly volumeMm3: number | null;
  readonly areaMm2: number;
  readonly box: Box3;
  /** For a void, the number of the smallest body around it. */
  readonly within: number | null;
}

/**
 * Every shell with its role, in file order. Facets are taken to be oriented alike within a shell.
 * @param whole measures of all facets together, when the caller has them: one shell needs no others
 */
export function shellRoles(topology: Topology, whole?: MassProperties): Shell[] {
  const { mesh, facets } = topology;
  const closed = closedShells(topology);
  const shells = facets.map((list, i) => {
    const { volumeMm3, areaMm2 } =
      whole && facets.length === 1 ? whole : massOfTriangles(mesh, list);
    return {
      facets: list,
      areaMm2,
      volumeMm3: closed[i] ? volumeMm3 : null,
      box: facets.length === 1 ? boundsOf(mesh.positions) : boxOf(mesh, list),
    };
  });
  const bodies = shells
    .map((shell, i) => ({ ...shell, i }))
    .filter((s) => s.volumeMm3 !== null && s.volumeMm3 >= 0)
    .sort((a, b) => (a.volumeMm3 as number) - (b.volumeMm3 as number));
  return shells.map((shell): Shell => {
    if (shell.volumeMm3 === null) return { ...shell, role: 'open', within: null };
    if (shell.volumeMm3 >= 0) return { ...shell, role: 'body', within: null };
    const around = bodies.find(
      (body) => boxInside(shell.box, body.box) && mostlyInside(mesh, shell.facets, body.facets),
    );
    return around
      ? { ...shell, role: 'void', within: around.i }
      : { ...shell, role: 'insideOut', within: null };
  });
}

/** Shells in which every facet has its neighbour across every edge. */
function closedShells({ paired, tally, shells, facets }: Topology): boolean[] {
  const closed = facets.map(() => true);
  if (tally.open + tally.crowded === 0) return closed;
  for (let e = 0; e < paired.length; e++) {
    const n = paired[e] as number;
    if (n === OPEN || n === NON_MANIFOLD) closed[shells.labels[(e / 3) | 0] as number] = false;
  }
  return closed;
}

function boxOf({ positions, triangles: t }: Mesh, facets: Uint32Array): Box3 {
  const corners = new Float64Array(9 * facets.length);
  let n = 0;
  for (const f of facets)
    for (let i = 3 * f; i < 3 * f + 3; i++) {
      const v = 3 * (t[i] as number);
      corners[n++] = positions[v] as number;
      corners[n++] = positions[v + 1] as number;
      corners[n++] = positions[v + 2] as number;
    }
  return boundsOf(corners);
}

export const boxInside = (a: Box3, b: Box3): boolean =>
  ([0, 1, 2] as const).every((k) => a.min[k] >= b.min[k] && a.max[k] <= b.max[k]);

export const boxesMeet = (a: Box3, b: Box3): boolean =>
  ([0, 1, 2] as const).every((k) => a.min[k] < b.max[k] && a.max[k] > b.min[k]);

/**
 * Of some points of one shell, how many lie inside the other and how many outside; those on its
 * surface are neither. Asked are a corner and the middle of up to `asked` facets, evenly spread.
 */
export function sides(
  mesh: Mesh,
  inner: Uint32Array,
  outer: Uint32Array,
  asked = 5,
): { inside: number; outside: number } {
  const step = Math.max(1, Math.floor(inner.length / asked));
  let inside = 0;
  let outside = 0;
  for (let i = 0; i < inner.length; i += step) {
    const f = inner[i] as number;
    const corner = pointAt(mesh.positions, mesh.triangles[3 * f] as number);
    for (const point of [corner, facetMiddle(mesh, f)]) {
      const winding = windingNumber(mesh, outer, point);
      if (Math.abs(winding - Math.round(winding)) > 1e-3) continue;
      if (Math.round(winding) === 0) outside++;
      else inside++;
    }
  }
  return { inside, outside };
}

function mostlyInside(mesh: Mesh, inner: Uint32Array, outer: Uint32Array): boolean {
  const { inside, outside } = sides(mesh, inner, outer);
  return inside > outside;
}
