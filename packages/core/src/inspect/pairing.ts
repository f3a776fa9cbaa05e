import { cross, dot, pointAt, sub, unit, type Vec3 } from '../math/index.ts';
import { NON_MANIFOLD, shells, type Mesh } from '../mesh/index.ts';
import { edgeEnd, edgeStart } from './edges.ts';

/** Directions about an edge that differ by less count as one, rad. */
const TIE = 1e-9;

/**
 * The neighbours again, with the facets of crowded edges paired where that can be done: going
 * round the edge, a facet behind which material begins is paired with the one behind which it
 * ends, like brackets; first of all with one that hangs together with it elsewhere. Bodies that
 * touch along an edge or a face so fall apart into their own shells. Edges that more facets run along one way than the other stay `NON_MANIFOLD`.
 *
 * Limit: bodies that overlap and also share whole welded edges may be paired crosswise, into a
 * shell that overlaps itself and counts twice there (8 of 112 random piles of five overlapping
 * boxes on a common grid did; bodies that only touch never did).
 * Returns the same array when no edge is crowded.
 */
export function pairCrowded(mesh: Mesh, neighbours: Int32Array): Int32Array {
  if (!neighbours.includes(NON_MANIFOLD)) return neighbours;
  const t = mesh.triangles;
  const vertices = mesh.positions.length / 3;
  const byEdge = new Map<number, number[]>();
  for (let e = 0; e < neighbours.length; e++) {
    if (neighbours[e] !== NON_MANIFOLD) continue;
    const a = edgeStart(t, e);
    const b = edgeEnd(t, e);
    const key = Math.min(a, b) * vertices + Math.max(a, b);
    const list = byEdge.get(key);
    if (list) list.push(e);
    else byEdge.set(key, [e]);
  }
  const paired = neighbours.slice();
  const { labels } = shells(mesh, neighbours);
  for (const edges of byEdge.values()) {
    const rising = edges.filter((e) => edgeStart(t, e) < edgeEnd(t, e)).length;
    if (2 * rising !== edges.length) continue;
    for (const [e, g] of brackets(mesh, edges, labels)) {
      paired[e] = (g / 3) | 0;
      paired[g] = (e / 3) | 0;
    }
  }
  return paired;
}

/** Pairs among the edge numbers of one crowded edge, by the order of their facets round it. */
function brackets(
  { positions: p, triangles: t }: Mesh,
  edges: readonly number[],
  labels: Int32Array,
): [number, number][] {
  const first = edges[0] as number;
  const low = Math.min(edgeStart(t, first), edgeEnd(t, first));
  const high = Math.max(edgeStart(t, first), edgeEnd(t, first));
  const origin = pointAt(p, low);
  const along = unit(sub(pointAt(p, high), origin)) ?? [0, 0, 1];
  const outward = (e: number): Vec3 => {
    const f = (e / 3) | 0;
    const w = sub(pointAt(p, t[3 * f + ((e + 2) % 3)] as number), origin);
    const h = dot(w, along);
    return [w[0] - h * along[0], w[1] - h * along[1], w[2] - h * along[2]];
  };
  // Angles from the first facet on, so that its own twins do not fall apart at the seam.
  const u = unit(outward(first)) ?? [1, 0, 0];
  const v = cross(along, u);
  const sides = edges.map((e) => {
    const w = outward(e);
    const angle = Math.atan2(dot(w, v), dot(w, u));
    return {
      e,
      angle: angle < -TIE ? angle + 2 * Math.PI : angle,
      ends: edgeStart(t, e) < edgeEnd(t, e),
    };
  });
  sides.sort((a, b) => a.angle - b.angle || a.e - b.e);
  // Within a tie material ends before it begins: faces back to back part two bodies.
  for (let i = 0; i < sides.length;) {
    let j = i + 1;
    while (j < sides.length && (sides[j] as Side).angle - (sides[j - 1] as Side).angle < TIE) j++;
    const tie = sides.slice(i, j);
    sides.splice(i, j - i, ...tie.filter((s) => s.ends), ...tie.filter((s) => !s.ends));
    i = j;
  }
  // Begin where the fewest brackets are open.
  let depth = 0;
  let least = 0;
  let start = 0;
  sides.forEach((side, i) => {
    depth += side.ends ? -1 : 1;
    if (depth < least) {
      least = depth;
      start = i + 1;
    }
  });
  const open: number[] = [];
  const pairs: [number, number][] = [];
  for (let k = 0; k < sides.length; k++) {
    const side = sides[(start + k) % sides.length] as Side;
    if (!side.ends) open.push(side.e);
    else {
      const label = labels[(side.e / 3) | 0];
      const own = open.findLastIndex((e) => labels[(e / 3) | 0] === label);
      pairs.push([open.splice(own, 1)[0] as number, side.e]);
    }
  }
  return pairs;
}

interface Side {
  readonly e: number;
  readonly angle: number;
  /** Material ends at this facet, going round the edge from its lower vertex's right hand. */
  readonly ends: boolean;
}
