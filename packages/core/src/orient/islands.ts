import type { Mesh } from '../mesh/index.ts';
import type { Body, Turned } from './turned.ts';

/** A piece of the part that begins in the air: nothing of it is printed below. */
export interface Island {
  /** Height of its lowest point above the plate, mm. */
  readonly heightMm: number;
  /** Number of that vertex. */
  readonly vertex: number;
}

/** Vertices joined to each vertex: those of v are `ends[start[v]] .. ends[start[v + 1] - 1]`. */
export interface VertexLinks {
  readonly start: Uint32Array;
  readonly ends: Uint32Array;
}

export function vertexLinks({ positions, triangles: t }: Mesh): VertexLinks {
  const n = positions.length / 3;
  const start = new Uint32Array(n + 1);
  for (let e = 0; e < t.length; e++) (start[t[e] as number] as number) += 2;
  let sum = 0;
  for (let v = 0; v <= n; v++) {
    sum += start[v] as number;
    start[v] = sum;
  }
  const ends = new Uint32Array(sum);
  for (let f = 0; f < t.length; f += 3)
    for (let i = 0; i < 3; i++) {
      const v = t[f + i] as number;
      ends[--(start[v] as number)] = t[f + ((i + 1) % 3)] as number;
      ends[--(start[v] as number)] = t[f + ((i + 2) % 3)] as number;
    }
  return { start, ends };
}

/**
 * Places where a layer begins a piece that hangs on nothing, lowest first. A dip that joins its
 * surroundings within the same layer is none.
 *
 * Method: from each vertex without a lower neighbour the surface is walked as far as the top of
 * that vertex's layer. If the walk never gets below the layer the piece begins there; if the facets
 * at its lowest vertex face down it is the part that begins, else the floor of a hollow.
 * O(facets) and a little per dip.
 *
 * @param shellOf shell per facet where shells touch or run into each other (null for one shell): a
 *   piece that begins on or inside another shell is no island; each such dip costs O(facets)
 */
export function islandsOf(
  body: Body,
  links: VertexLinks,
  shellOf: Int32Array | null,
  box: Turned,
  layerMm: number,
): Island[] {
  const { z, lean, facets, mesh } = body;
  const t = mesh.triangles;
  const below = (a: number, b: number): boolean =>
    (z[a] as number) < (z[b] as number) || (z[a] === z[b] && a < b);
  const layerOf = (v: number): number =>
    Math.max(0, Math.floor(((z[v] as number) - box.z0) / layerMm - 1e-9));

  const hasLower = new Uint8Array(z.length);
  for (let f = 0; f < t.length; f += 3) {
    const a = t[f] as number;
    const b = t[f + 1] as number;
    const c = t[f + 2] as number;
    hasLower[below(a, b) ? b : a] = 1;
    hasLower[below(b, c) ? c : b] = 1;
    hasLower[below(c, a) ? a : c] = 1;
  }
  // How far the facets at each dip face down, each by its plan area.
  const facing = new Map<number, number>();
  for (let e = 0; e < t.length; e++) {
    const v = t[e] as number;
    if (hasLower[v]) continue;
    const f = Math.floor(e / 3);
    const plan = (lean[f] as number) * (facets.areasMm2[f] as number);
    facing.set(v, (facing.get(v) ?? 0) + plan);
  }

  const dips = [...facing.keys()].sort((a, b) => (below(a, b) ? -1 : 1));
  // Which walk came by last, and the layer of each walk.
  const walkedBy = new Int32Array(z.length).fill(-1);
  const layers: number[] = [];
  const stack: number[] = [];
  const found: Island[] = [];
  for (const dip of dips) {
    const layer = layerOf(dip);
    if (layer === 0) continue;
    if (layers[walkedBy[dip] as number] === layer) continue;
    const walk = layers.push(layer) - 1;
    let alone = true;
    stack.push(dip);
    walkedBy[dip] = walk;
    while (alone && stack.length > 0) {
      const v = stack.pop() as number;
      for (let i = links.start[v] as number; i < (links.start[v + 1] as number); i++) {
        const w = links.ends[i] as number;
        const at = layerOf(w);
        if (at > layer || walkedBy[w] === walk) continue;
        // Below this layer, or where an earlier walk of the layer found its way down before it
        // came here: else that walk would have passed the dip.
        if (at < layer || layers[walkedBy[w] as number] === layer) {
          alone = false;
          break;
        }
        walkedBy[w] = walk;
        stack.push(w);
      }
    }
    stack.length = 0;
    if (alone && (facing.get(dip) as number) < 0 && !(shellOf && restsInShell(dip)))
      found.push({ heightMm: (z[dip] as number) - box.z0, vertex: dip });
  }
  return found;

  /** Whether the middle of a facet at the dip lies on or inside another shell. */
  function restsInShell(dip: number): boolean {
    const { x, y } = body;
    let own = -1;
    for (let f = 0; f < lean.length && own < 0; f++)
      if (
        (lean[f] as number) < 0 &&
        (t[3 * f] === dip || t[3 * f + 1] === dip || t[3 * f + 2] === dip)
      )
        own = f;
    if (own < 0) return false;
    const middle = (of: Float64Array): number =>
      ((of[t[3 * own] as number] as number) +
        (of[t[3 * own + 1] as number] as number) +
        (of[t[3 * own + 2] as number] as number)) /
      3;
    const px = middle(x);
    const py = middle(y);
    const pz = middle(z);
    const touch = 1e-6 * (box.z1 - box.z0);
    let depth = 0;
    for (let f = 0; f < lean.length; f++) {
      const l = lean[f] as number;
      if (l === 0 || shellOf?.[f] === shellOf?.[own]) continue;
      const a = t[3 * f] as number;
      const b = t[3 * f + 1] as number;
      const c = t[3 * f + 2] as number;
      const u = side(b, c);
      const v = side(c, a);
      const w = side(a, b);
      if (l > 0 ? u < 0 || v < 0 || w < 0 : u > 0 || v > 0 || w > 0) continue;
      const h = (u * (z[a] as number) + v * (z[b] as number) + w * (z[c] as number)) / (u + v + w);
      if (l < 0 ? h <= pz + touch : h < pz - touch) depth += l < 0 ? 1 : -1;
    }
    return depth > 0;

    function side(i: number, j: number): number {
      const dx = (x[j] as number) - (x[i] as number);
      const dy = (y[j] as number) - (y[i] as number);
      return dx * (py - (y[i] as number)) - dy * (px - (x[i] as number));
    }
  }
}
