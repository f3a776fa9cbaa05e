import type { Mesh } from './mesh.ts';

/** No other facet at this edge. */
export const OPEN = -1;
/** Three or more facets meet at this edge. */
export const NON_MANIFOLD = -2;
/** The facet names a vertex twice: it has no area and takes part in no edge. */
export const COLLAPSED = -3;

/** Edges at one vertex beyond which they are sorted instead of compared pair by pair. */
const FEW = 24;

/** How many edges are not met by two facets with the same side out; a facet's side counts once. */
export interface EdgeTally {
  /** Sides without another facet. */
  readonly open: number;
  /** Sides of facets at edges of three or more. */
  readonly crowded: number;
  /** Edges of two facets that face opposite ways. */
  readonly flipped: number;
}

/**
 * The facet across each edge: entry 3 * t + i belongs to the edge of facet t from its corner i to
 * its corner (i + 1) % 3, and holds a facet number, or `OPEN`, `NON_MANIFOLD` or `COLLAPSED`.
 *
 * Two facets are neighbours when they alone share the edge, whichever way each runs along it: a
 * flipped neighbour is still a neighbour (see `runsAgainst`). Facets that name a vertex twice are
 * left out, since taking them away closes the mesh behind them.
 *
 * Method: counting sort of the edges by their lower vertex, then pairs among the few that remain;
 * O(facets), and O(n log n) at a vertex with many edges.
 */
export const edgeNeighbours = (mesh: Mesh): Int32Array => pairEdges(mesh).neighbours;

/** `edgeNeighbours`, and what is amiss, counted on the way. */
export function pairEdges(mesh: Mesh): { neighbours: Int32Array; tally: EdgeTally } {
  const t = mesh.triangles;
  const n = t.length;
  const vertices = mesh.positions.length / 3;
  const neighbours = new Int32Array(n).fill(COLLAPSED);
  const start = new Int32Array(vertices + 1);
  for (let f = 0; f < n; f += 3) {
    const a = t[f] as number;
    const b = t[f + 1] as number;
    const c = t[f + 2] as number;
    if (a === b || b === c || c === a) continue;
    (start[a < b ? a : b] as number)++;
    (start[b < c ? b : c] as number)++;
    (start[c < a ? c : a] as number)++;
  }
  let sum = 0;
  for (let v = 0; v <= vertices; v++) {
    sum += start[v] as number;
    start[v] = sum;
  }
  // Filled from the back, so that afterwards start[v] is where the edges of v begin.
  const edges = new Int32Array(sum);
  // Twice the upper vertex, and 1 more for an edge that runs down from it.
  const upper = new Uint32Array(sum);
  const put = (a: number, b: number, edge: number): void => {
    const rises = a < b;
    const slot = --(start[rises ? a : b] as number);
    edges[slot] = edge;
    upper[slot] = rises ? 2 * b : 2 * a + 1;
  };
  for (let f = n - 3; f >= 0; f -= 3) {
    const a = t[f] as number;
    const b = t[f + 1] as number;
    const c = t[f + 2] as number;
    if (a === b || b === c || c === a) continue;
    put(c, a, f + 2);
    put(b, c, f + 1);
    put(a, b, f);
  }

  let open = 0;
  let crowded = 0;
  let flipped = 0;
  for (let v = 0; v < vertices; v++) {
    const from = start[v] as number;
    const to = start[v + 1] as number;
    const sorted = to - from > FEW;
    if (sorted) sortByUpper(edges, upper, from, to);
    for (let i = from; i < to; i++) {
      const e = edges[i] as number;
      if (neighbours[e] !== COLLAPSED) continue;
      const w = upper[i] as number;
      let twin = -1;
      let uses = 1;
      // In a sorted stretch the equal ends stand together; in a short one all are looked at.
      for (let j = i + 1; j < to; j++) {
        // Equal but for the last bit: the same edge, either way.
        if (((upper[j] as number) ^ w) >>> 1 !== 0) {
          if (sorted) break;
          continue;
        }
        uses++;
        twin = j;
      }
      if (uses === 1) {
        neighbours[e] = OPEN;
        open++;
      } else if (uses === 2) {
        const other = edges[twin] as number;
        neighbours[e] = (other / 3) | 0;
        neighbours[other] = (e / 3) | 0;
        if (upper[twin] === w) flipped++;
      } else {
        crowded += uses;
        for (let j = i; j < to; j++)
          if (((upper[j] as number) ^ w) >>> 1 === 0) neighbours[edges[j] as number] = NON_MANIFOLD;
      }
    }
  }
  return { neighbours, tally: { open, crowded, flipped } };
}

function sortByUpper(edges: Int32Array, upper: Uint32Array, from: number, to: number): void {
  const order = Array.from({ length: to - from }, (_, i) => i + from);
  // The edge number breaks ties: the result does not depend on the engine's sort.
  order.sort((i, j) => (upper[i] as number) - (upper[j] as number) || i - j);
  const e = order.map((i) => edges[i] as number);
  const u = order.map((i) => upper[i] as number);
  edges.set(e, from);
  upper.set(u, from);
}

/**
 * Whether facet `other` names the edge a-b in the opposite order, as two facets with the same
 * side out do. False marks a flipped neighbour.
 */
export function runsAgainst(triangles: Uint32Array, other: number, a: number, b: number): boolean {
  const x = triangles[3 * other] as number;
  const y = triangles[3 * other + 1] as number;
  const z = triangles[3 * other + 2] as number;
  return (x === b && y === a) || (y === b && z === a) || (z === b && x === a);
}

/** The shells of a mesh: facets joined edge to edge. */
export interface Shells {
  readonly count: number;
  /** Shell number per facet, 0 .. count - 1 in the order of their first facet; -1 for a collapsed one. */
  readonly labels: Int32Array;
}

/**
 * Connected pieces of the surface. Facets belong together when they are neighbours across an
 * edge that only they share; shells that touch at a vertex, or along an edge of three or more
 * facets, stay apart. O(facets).
 *
 * @param neighbours from `edgeNeighbours`, when the caller has it already
 */
export function shells(mesh: Mesh, neighbours: Int32Array = edgeNeighbours(mesh)): Shells {
  const facets = mesh.triangles.length / 3;
  const labels = new Int32Array(facets).fill(-1);
  const stack = new Int32Array(facets);
  let count = 0;
  for (let seed = 0; seed < facets; seed++) {
    if (labels[seed] !== -1 || neighbours[3 * seed] === COLLAPSED) continue;
    let top = 0;
    stack[top++] = seed;
    labels[seed] = count;
    while (top > 0) {
      const f = stack[--top] as number;
      for (let e = 3 * f; e < 3 * f + 3; e++) {
        const g = neighbours[e] as number;
        if (g >= 0 && labels[g] === -1) {
          labels[g] = count;
          stack[top++] = g;
        }
      }
    }
    count++;
  }
  return { count, labels };
}

/** Facet numbers of each shell, in file order. */
export function shellFacets({ count, labels }: Shells): Uint32Array[] {
  if (count === 1 && !labels.includes(-1)) {
    const all = new Uint32Array(labels.length);
    for (let f = 0; f < all.length; f++) all[f] = f;
    return [all];
  }
  const sizes = new Uint32Array(count);
  for (const label of labels) if (label >= 0) (sizes[label] as number)++;
  const lists = Array.from(sizes, (size) => new Uint32Array(size));
  sizes.fill(0);
  for (let f = 0; f < labels.length; f++) {
    const label = labels[f] as number;
    if (label >= 0) (lists[label] as Uint32Array)[(sizes[label] as number)++] = f;
  }
  return lists;
}
