import { planeFrame, type Mesh, type Plane } from '../mesh/index.ts';
import { dot, type Vec3 } from '../math/index.ts';
import { heightsAlong } from './body.ts';
import { edgeKey, facetsMet } from './segments.ts';

/** What a segment of an outline is: an edge on an earlier cut, skin, or skin that is seen. */
export const EDGE = { cut: 0, skin: 1, seen: 2 } as const;

/** A closed line in plane coordinates, material on its left; `kinds[i]` is of segment i to i + 1. */
export interface Loop {
  readonly xy: readonly number[];
  readonly kinds: readonly number[];
  /** False for a line that ends at open edges of the mesh. */
  readonly closed: boolean;
}

/**
 * The lines in which a plane meets a mesh, in the coordinates of `planeFrame(plane)`. Lines run over
 * shared edges and so close exactly where the mesh is closed. O(facets).
 * @param seenFrom unit vector to the viewer: segments on facets that face it are `seen`; null: all
 */
export function traceOutline(mesh: Mesh, plane: Plane, seenFrom: Vec3 | null): Loop[] {
  const { positions: p, triangles: t } = mesh;
  const h = heightsAlong(p, plane.normal);
  const at = plane.offsetMm;
  const vertices = h.length;
  // Segments by the mesh edge they start on; more than one only on non-manifold edges.
  const starts = new Map<number, { to: number; kind: number }[]>();
  const entered = new Set<number>();
  const met = facetsMet(t, h, at);
  for (let m = 0; m < met.length; m += 4) {
    const f = 3 * (met[m] as number);
    const [i, j, k] = [t[f] as number, t[f + 1] as number, t[f + 2] as number];
    const a = met[m + 1] as number;
    const ab = edgeKey(a, met[m + 2] as number, vertices);
    const ac = edgeKey(a, met[m + 3] as number, vertices);
    const up = (h[a] as number) > at;
    const [from, to] = up ? [ab, ac] : [ac, ab];
    const kind = seenFrom && !facesViewer(p, i, j, k, seenFrom) ? EDGE.skin : EDGE.seen;
    const list = starts.get(from);
    if (list) list.push({ to, kind });
    else starts.set(from, [{ to, kind }]);
    entered.add(to);
  }
  const frame = planeFrame(plane);
  const pointOn = (edge: number, xy: number[]): void => {
    const i = Math.floor(edge / vertices);
    const j = edge % vertices;
    const s = (at - (h[i] as number)) / ((h[j] as number) - (h[i] as number));
    const q: Vec3 = [0, 1, 2].map(
      (c) => (p[3 * i + c] as number) + s * ((p[3 * j + c] as number) - (p[3 * i + c] as number)),
    ) as unknown as Vec3;
    xy.push(dot(frame.u, q), dot(frame.v, q));
  };
  const loops: Loop[] = [];
  const follow = (first: number): void => {
    const xy: number[] = [];
    const kinds: number[] = [];
    let edge = first;
    for (;;) {
      pointOn(edge, xy);
      const next = starts.get(edge)?.pop();
      if (!next) break;
      kinds.push(next.kind);
      edge = next.to;
      if (edge === first) break;
    }
    if (kinds.length > 0) loops.push({ xy, kinds, closed: edge === first });
  };
  // Lines that begin at an open edge first, so that they are followed from their end.
  for (const [edge, list] of starts) if (!entered.has(edge)) while (list.length > 0) follow(edge);
  for (const [edge, list] of starts) while (list.length > 0) follow(edge);
  return loops;
}

function facesViewer(p: Float64Array, i: number, j: number, k: number, eye: Vec3): boolean {
  const at = (v: number, c: number): number => p[3 * v + c] as number;
  const ux = at(j, 0) - at(i, 0), uy = at(j, 1) - at(i, 1), uz = at(j, 2) - at(i, 2); // prettier-ignore
  const vx = at(k, 0) - at(i, 0), vy = at(k, 1) - at(i, 1), vz = at(k, 2) - at(i, 2); // prettier-ignore
  return (
    (uy * vz - uz * vy) * eye[0] + (uz * vx - ux * vz) * eye[1] + (ux * vy - uy * vx) * eye[2] > 0
  );
}

/** The half of the plane with nx * x + ny * y <= offset, (nx, ny) of length 1. */
export interface HalfPlane {
  readonly nx: number;
  readonly ny: number;
  readonly offset: number;
}

/** What an earlier cut leaves of a plane: null for all of it, 'nothing', or a half plane. */
export function halfPlaneOf(
  plane: Plane,
  bound: Plane,
  side: 'below' | 'above',
): HalfPlane | 'nothing' | null {
  const { u, v, origin } = planeFrame(plane);
  const s = side === 'below' ? 1 : -1;
  const x = s * dot(bound.normal, u);
  const y = s * dot(bound.normal, v);
  const room = s * (bound.offsetMm - dot(bound.normal, origin));
  const l = Math.hypot(x, y);
  if (l < 1e-9) return room >= 0 ? null : 'nothing';
  return { nx: x / l, ny: y / l, offset: room / l };
}

interface Chain {
  readonly xy: number[];
  readonly kinds: number[];
}

/**
 * Outlines cut back to a half plane. Where material crosses its border the outline is closed along
 * the border, each exit to the next entry, so separate regions stay separate.
 */
export function clipLoops(loops: readonly Loop[], half: HalfPlane): Loop[] {
  const kept: Loop[] = [];
  const chains: Chain[] = [];
  for (const loop of loops) {
    const n = loop.xy.length / 2;
    const room = Array.from(
      { length: n },
      (_, i) =>
        half.offset -
        (loop.xy[2 * i] as number) * half.nx -
        (loop.xy[2 * i + 1] as number) * half.ny,
    );
    if (room.every((r) => r >= 0)) kept.push(loop);
    else if (room.some((r) => r >= 0)) splitLoop(loop, room, chains, kept);
  }
  // Walking along the border with the kept half on the left, material starts where a chain leaves.
  const along = (c: Chain, last: boolean): number => {
    const i = last ? c.xy.length - 2 : 0;
    return -half.ny * (c.xy[i] as number) + half.nx * (c.xy[i + 1] as number);
  };
  const ends = chains
    .flatMap((chain) => [
      { chain, exit: true, at: along(chain, true) },
      { chain, exit: false, at: along(chain, false) },
    ])
    .sort((a, b) => a.at - b.at || Number(b.exit) - Number(a.exit));
  const next = new Map<Chain, Chain>();
  const waiting: Chain[] = [];
  const early: Chain[] = [];
  for (const end of ends) {
    if (end.exit) waiting.push(end.chain);
    else {
      const from = waiting.pop();
      if (from) next.set(from, end.chain);
      else early.push(end.chain);
    }
  }
  // Only rounding leaves some over.
  for (const from of waiting) {
    const to = early.pop();
    if (to) next.set(from, to);
  }
  const left = new Set(chains);
  for (const first of chains) {
    if (!left.has(first)) continue;
    const xy: number[] = [];
    const kinds: number[] = [];
    let chain: Chain | undefined = first;
    while (chain && left.delete(chain)) {
      for (const x of chain.xy) xy.push(x);
      for (const k of chain.kinds) kinds.push(k);
      kinds.push(EDGE.cut);
      chain = next.get(chain);
    }
    kept.push({ xy, kinds, closed: chain === first });
  }
  return kept;
}

/** The stretches of a loop with room >= 0, ends interpolated onto the border. */
function splitLoop(loop: Loop, room: readonly number[], chains: Chain[], open: Loop[]): void {
  const n = room.length;
  const border = (i: number, j: number, xy: number[]): void => {
    const s = (room[i] as number) / ((room[i] as number) - (room[j] as number));
    for (let c = 0; c < 2; c++) {
      const a = loop.xy[2 * i + c] as number;
      xy.push(a + s * ((loop.xy[2 * j + c] as number) - a));
    }
  };
  const begin = loop.closed ? room.findIndex((r, i) => r < 0 && (room[(i + 1) % n] as number) >= 0) : -1; // prettier-ignore
  let chain: Chain | null = loop.closed || (room[0] as number) < 0 ? null : { xy: [], kinds: [] };
  if (chain) chain.xy.push(loop.xy[0] as number, loop.xy[1] as number);
  const segments = loop.closed ? n : n - 1;
  for (let s = 0; s < segments; s++) {
    const i = loop.closed ? (begin + s) % n : s;
    const j = (i + 1) % n;
    const inI = (room[i] as number) >= 0;
    const inJ = (room[j] as number) >= 0;
    if (!inI && inJ) {
      chain = { xy: [], kinds: [] };
      border(i, j, chain.xy);
    }
    if (chain && inJ) {
      chain.xy.push(loop.xy[2 * j] as number, loop.xy[2 * j + 1] as number);
      chain.kinds.push(loop.kinds[i] as number);
    }
    if (chain && inI && !inJ) {
      border(i, j, chain.xy);
      chain.kinds.push(loop.kinds[i] as number);
      if (loop.closed) chains.push(chain);
      else open.push({ ...chain, closed: false });
      chain = null;
    }
  }
  if (chain) open.push({ ...chain, closed: false });
}
