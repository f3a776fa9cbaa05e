import { ScantlingError } from '../errors.ts';
import { edgeNeighbours, NON_MANIFOLD, OPEN } from './adjacency.ts';
import { boundsOf, sizeOf, type Mesh } from './mesh.ts';

/** What a tolerance weld did. */
export interface Weld {
  readonly mesh: Mesh;
  readonly toleranceMm: number;
  readonly verticesMerged: number;
  /** Facets that lost a side because two of their corners became one. */
  readonly facetsDropped: number;
}

/** A weld that closed every open edge. */
export interface SeamWeld extends Weld {
  /** The tolerance as a share of the box diagonal. */
  readonly relative: number;
  readonly openEdgesBefore: number;
}

/**
 * Tolerances tried on open seams, as shares of the box diagonal. float32 has 24 bits, so a number
 * rounded once is off by up to 6e-8 of itself; a part far from the origin, or turned and stored
 * again, collects some of these. Of downloaded files with open edges about half
 * close by some 2e-6. The last entry is the limit: 0.01 mm on a part of 1 m.
 */
export const SEAM_LADDER = [5e-7, 1e-6, 2e-6, 5e-6, 1e-5] as const;

/** A seam's weld drops a few slivers at most; less than this share of facets left is no repair. */
const KEPT_SHARE = 0.9;

/**
 * Joins vertices that lie within `toleranceMm` of each other. Going through the vertices in order,
 * each joins the nearest one already kept within the tolerance, or is kept itself: none moves
 * farther than the tolerance, however long a chain of near neighbours is. Facets left with two
 * corners are dropped, vertices no facet names vanish.
 *
 * @param among 1 for each vertex that may move or be joined; default all
 * @throws ScantlingError `BAD_TOLERANCE` unless the tolerance is a finite number above 0
 * Cost: O(vertices) as long as few lie within one tolerance of each other.
 */
export function weldWithin(mesh: Mesh, toleranceMm: number, among?: Uint8Array): Weld {
  if (!(toleranceMm > 0 && Number.isFinite(toleranceMm)))
    throw new ScantlingError('BAD_TOLERANCE', `${toleranceMm} mm is no weld tolerance.`, {
      remedy: 'Give a length above 0.',
    });
  return { ...joined(mesh, keepers(mesh, toleranceMm, among)), toleranceMm };
}

/** For each vertex the one that stands for it: itself, or an earlier one within the tolerance. */
function keepers(mesh: Mesh, tolerance: number, among: Uint8Array | undefined): Uint32Array {
  const p = mesh.positions;
  const n = p.length / 3;
  const box = boundsOf(p);
  const extent = Math.max(...sizeOf(box));
  // Cells of at least the tolerance: the partner is in the same cell or one beside it. The lower
  // bound keeps cell numbers within 31 bits.
  const cell = Math.max(tolerance, extent / 2 ** 30);
  let size = 16;
  while (size < 2 * n) size *= 2;
  const first = new Int32Array(size).fill(-1);
  const next = new Int32Array(n).fill(-1);
  const keeper = Uint32Array.from({ length: n }, (_, v) => v);
  const within = tolerance * tolerance;

  for (let v = 0; v < n; v++) {
    if (among && among[v] !== 1) continue;
    const x = p[3 * v] as number;
    const y = p[3 * v + 1] as number;
    const z = p[3 * v + 2] as number;
    const i = Math.floor((x - box.min[0]) / cell);
    const j = Math.floor((y - box.min[1]) / cell);
    const k = Math.floor((z - box.min[2]) / cell);
    let best = -1;
    let nearest = within;
    for (let c = 0; c < 27; c++) {
      const bucket = cellHash(i + (c % 3) - 1, j + (((c / 3) | 0) % 3) - 1, k + ((c / 9) | 0) - 1) & (size - 1); // prettier-ignore
      for (let w = first[bucket] as number; w >= 0; w = next[w] as number) {
        const dx = (p[3 * w] as number) - x;
        const dy = (p[3 * w + 1] as number) - y;
        const dz = (p[3 * w + 2] as number) - z;
        const d = dx * dx + dy * dy + dz * dz;
        if (d < nearest || (d === nearest && (best < 0 || w < best))) {
          nearest = d;
          best = w;
        }
      }
    }
    if (best >= 0) keeper[v] = best;
    else {
      const bucket = cellHash(i, j, k) & (size - 1);
      next[v] = first[bucket] as number;
      first[bucket] = v;
    }
  }
  return keeper;
}

function cellHash(i: number, j: number, k: number): number {
  const h = Math.imul(i, 0x85ebca6b) ^ Math.imul(j, 0xc2b2ae35) ^ Math.imul(k, 0x27d4eb2f);
  return h ^ (h >>> 15);
}

/** The mesh with each vertex replaced by its keeper. */
function joined(mesh: Mesh, keeper: Uint32Array): Omit<Weld, 'toleranceMm'> {
  const t = mesh.triangles;
  const number = new Int32Array(keeper.length).fill(-1);
  const triangles = new Uint32Array(t.length);
  const kept: number[] = [];
  let verticesMerged = 0;
  for (let v = 0; v < keeper.length; v++) if (keeper[v] !== v) verticesMerged++;
  let n = 0;
  let facetsDropped = 0;
  const place = (v: number): number => {
    if (number[v] === -1) {
      number[v] = kept.length;
      kept.push(v);
    }
    return number[v] as number;
  };
  for (let f = 0; f < t.length; f += 3) {
    const a = keeper[t[f] as number] as number;
    const b = keeper[t[f + 1] as number] as number;
    const c = keeper[t[f + 2] as number] as number;
    const whole = t[f] !== t[f + 1] && t[f + 1] !== t[f + 2] && t[f + 2] !== t[f];
    // A facet that named a vertex twice before is the file's own defect and stays to be counted.
    if (whole && (a === b || b === c || c === a)) {
      facetsDropped++;
      continue;
    }
    triangles[n++] = place(a);
    triangles[n++] = place(b);
    triangles[n++] = place(c);
  }
  const positions = new Float64Array(3 * kept.length);
  kept.forEach((v, i) => positions.set(mesh.positions.subarray(3 * v, 3 * v + 3), 3 * i));
  return { mesh: { positions, triangles: triangles.slice(0, n) }, verticesMerged, facetsDropped };
}

/**
 * Closes seams that are open by rounding only: the vertices of open edges are welded with the
 * tolerances of `SEAM_LADDER`, smallest first, and the first that leaves no open edge and makes no
 * edge of three or more facets is taken.
 * @returns null when no edge is open, or when none of the tolerances closes them all; the mesh is
 * then best left as it is
 * Cost: one pass over the facets for a closed mesh (`edgesBalance`); a few for an open one.
 */
export function closeSeams(mesh: Mesh): SeamWeld | null {
  if (edgesBalance(mesh.triangles)) return null;
  const before = edgeNeighbours(mesh);
  const open = openEdges(mesh.triangles, before);
  if (open.length === 0) return null;
  const size = sizeOf(boundsOf(mesh.positions));
  const diagonal = Math.hypot(size[0], size[1], size[2]);
  if (!(diagonal > 0)) return null;
  const rim = new Uint8Array(mesh.positions.length / 3);
  for (const v of open) rim[v] = 1;
  for (const relative of SEAM_LADDER) {
    const toleranceMm = relative * diagonal;
    const keeper = keepers(mesh, toleranceMm, rim);
    if (!pairsUp(open, keeper)) continue;
    const weld = joined(mesh, keeper);
    const after = edgeNeighbours(weld.mesh);
    // A weld that eats the part closes it too: garbage numbers with one far-off vertex, say.
    if (weld.mesh.triangles.length < KEPT_SHARE * mesh.triangles.length) continue;
    if (after.includes(OPEN) || count(after, NON_MANIFOLD) > count(before, NON_MANIFOLD)) continue;
    return { ...weld, toleranceMm, relative, openEdgesBefore: open.length / 2 };
  }
  return null;
}

/**
 * Whether each edge is run along as often one way as the other, as in every closed mesh with one
 * side out. A sum over antisymmetric hashes: a balanced mesh always gives true; an unbalanced one
 * gives true by accident once in 2^32, and then only a seam stays as it was read.
 */
export function edgesBalance(triangles: Uint32Array): boolean {
  let sum = 0;
  for (let f = 0; f < triangles.length; f += 3) {
    const a = triangles[f] as number;
    const b = triangles[f + 1] as number;
    const c = triangles[f + 2] as number;
    sum = (sum + directed(a, b) - directed(b, a) + directed(b, c) - directed(c, b) + directed(c, a) - directed(a, c)) | 0; // prettier-ignore
  }
  return sum === 0;
}

function directed(a: number, b: number): number {
  let h = Math.imul(a, 0x85ebca6b) ^ (Math.imul(b, 0xc2b2ae35) + 0x165667b1);
  h = Math.imul(h ^ (h >>> 15), 0x2c1b3c6d);
  return h ^ (h >>> 13);
}

/** Ends of the open edges, two entries each, in the facet's own direction. */
function openEdges(t: Uint32Array, neighbours: Int32Array): Uint32Array {
  const ends = new Uint32Array(2 * count(neighbours, OPEN));
  let n = 0;
  for (let e = 0; e < neighbours.length; e++) {
    if (neighbours[e] !== OPEN) continue;
    ends[n++] = t[e] as number;
    ends[n++] = t[e % 3 === 2 ? e - 2 : e + 1] as number;
  }
  return ends;
}

/** Whether each open edge that is left after joining meets exactly one other. */
function pairsUp(open: Uint32Array, keeper: Uint32Array): boolean {
  const uses = new Map<number, number>();
  for (let i = 0; i < open.length; i += 2) {
    const a = keeper[open[i] as number] as number;
    const b = keeper[open[i + 1] as number] as number;
    if (a === b) continue;
    const key = Math.min(a, b) * keeper.length + Math.max(a, b);
    uses.set(key, (uses.get(key) ?? 0) + 1);
  }
  for (const n of uses.values()) if (n !== 2) return false;
  return true;
}

function count(values: Int32Array, wanted: number): number {
  let n = 0;
  for (const value of values) if (value === wanted) n++;
  return n;
}
