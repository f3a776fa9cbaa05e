import type { Vec3 } from '../math/index.ts';
import { OPEN, type Mesh } from '../mesh/index.ts';
import { edgeEnd, edgeStart } from './edges.ts';
import type { Topology } from './topology.ts';

/** A rim: open edges that follow each other. */
export interface Rim {
  /** Vertices along the rim, in the facets' own order; the hole lies to the right. */
  readonly vertices: readonly number[];
  /** Whether it returns to its start. A rim that does not ends at a defect of another kind. */
  readonly closed: boolean;
  readonly edges: number;
  readonly lengthMm: number;
  /** Mean of the edges' middles, weighted by length, mm. */
  readonly centreMm: Vec3;
}

/** The open edges joined to rims, longest first. Each edge belongs to exactly one rim. */
export function openRims({ mesh, neighbours, tally }: Topology): Rim[] {
  if (tally.open === 0) return [];
  const t = mesh.triangles;
  const from = new Map<number, number[]>();
  const open: number[] = [];
  for (let e = 0; e < neighbours.length; e++)
    if (neighbours[e] === OPEN) {
      open.push(e);
      const list = from.get(edgeStart(t, e));
      if (list) list.push(e);
      else from.set(edgeStart(t, e), [e]);
    }
  // First the rims that begin at a loose end, then the closed ones.
  const balance = new Map<number, number>();
  for (const e of open) {
    balance.set(edgeStart(t, e), (balance.get(edgeStart(t, e)) ?? 0) + 1);
    balance.set(edgeEnd(t, e), (balance.get(edgeEnd(t, e)) ?? 0) - 1);
  }
  const used = new Set<number>();
  const rims: Rim[] = [];
  const walk = (first: number): void => {
    const vertices = [edgeStart(t, first)];
    let e: number | undefined = first;
    while (e !== undefined) {
      used.add(e);
      const end = edgeEnd(t, e);
      vertices.push(end);
      // At a vertex met before the rim closes a ring of its own: rims that touch are parted there.
      const back = vertices.lastIndexOf(end, vertices.length - 2);
      if (back > 0)
        rims.push(measured(mesh, vertices.splice(back, vertices.length - 1 - back), true));
      else if (back === 0) break;
      e = from.get(end)?.find((next) => !used.has(next));
    }
    if (vertices.length < 2) return;
    const closed = vertices[0] === vertices.at(-1);
    rims.push(measured(mesh, closed ? vertices.slice(0, -1) : vertices, closed));
  };
  for (const e of open)
    while ((balance.get(edgeStart(t, e)) ?? 0) > 0) {
      const start = from.get(edgeStart(t, e))?.find((next) => !used.has(next));
      if (start === undefined) break;
      balance.set(edgeStart(t, e), (balance.get(edgeStart(t, e)) as number) - 1);
      walk(start);
    }
  for (const e of open) if (!used.has(e)) walk(e);
  return rims.sort((a, b) => b.lengthMm - a.lengthMm);
}

function measured({ positions: p }: Mesh, vertices: readonly number[], closed: boolean): Rim {
  const edges = closed ? vertices.length : vertices.length - 1;
  let lengthMm = 0;
  const sum: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < edges; i++) {
    const a = 3 * (vertices[i] as number);
    const b = 3 * (vertices[(i + 1) % vertices.length] as number);
    const d = [0, 1, 2].map((k) => (p[b + k] as number) - (p[a + k] as number));
    const length = Math.hypot(...d);
    lengthMm += length;
    for (const k of [0, 1, 2] as const)
      sum[k] += (length * ((p[a + k] as number) + (p[b + k] as number))) / 2;
  }
  const first = 3 * (vertices[0] as number);
  const centreMm: Vec3 =
    lengthMm > 0
      ? [sum[0] / lengthMm, sum[1] / lengthMm, sum[2] / lengthMm]
      : [p[first] as number, p[first + 1] as number, p[first + 2] as number];
  return { vertices, closed, edges, lengthMm, centreMm };
}
