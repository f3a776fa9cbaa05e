import { edgesOf, heightsAlong, roundingOf, segmentOf } from './crossing.ts';
import type { Mesh } from './mesh.ts';
import { planeFrame, type Plane, type PlaneFrame } from './plane.ts';

/**
 * The cut of a mesh by a plane. Every loop and chain is x, y pairs in the frame's coordinates
 * (mm). Seen from the tip of the normal, material lies to the left: outlines run
 * counter-clockwise, holes clockwise. The last point of a loop joins the first.
 */
export interface Section {
  readonly frame: PlaneFrame;
  readonly loops: readonly Float64Array[];
  /** Stretches that do not close, where the mesh is open or a neighbour is flipped. */
  readonly chains: readonly Float64Array[];
}

/**
 * The exact section of a mesh by one plane. O(vertices + facets), no preparation.
 *
 * A vertex in the plane (within rounding) counts as above it, throughout. That is the section an
 * infinitely small step below the plane, so a plane along a face gives the whole face or nothing,
 * never half of it: a box standing on the plane is not cut, a box hanging under it is. Two facets
 * compute the point on their common edge from the same numbers in the same order, so loops close
 * exactly.
 */
export function planeSection(mesh: Mesh, plane: Plane): Section {
  const heights = heightsAlong(mesh, plane.normal);
  const level = plane.offsetMm - roundingOf(heights, plane.offsetMm);
  const t = mesh.triangles;
  const cut: number[] = [];
  for (let f = 0; f < t.length; f += 3) {
    const a = (heights[t[f] as number] as number) < level;
    const b = (heights[t[f + 1] as number] as number) < level;
    if (a !== b || b !== (heights[t[f + 2] as number] as number) < level) cut.push(f / 3);
  }
  return joinSegments(mesh, plane, heights, level, Uint32Array.from(cut));
}

/**
 * Joins the segments of the cut facets end to start, by the mesh edges they share. Loops follow
 * the order of `facets`.
 */
export function joinSegments(
  mesh: Mesh,
  plane: Plane,
  heights: Float64Array,
  level: number,
  facets: Uint32Array,
): Section {
  const count = facets.length;
  const frame = planeFrame(plane);
  const t = mesh.triangles;
  const vertices = mesh.positions.length / 3;
  const key = (f: number, i: number): number => {
    const a = t[3 * f + i] as number;
    const b = t[3 * f + ((i + 1) % 3)] as number;
    return a < b ? a * vertices + b : b * vertices + a;
  };
  const starts = new Map<number, number>();
  const startsAlike = new Int32Array(count).fill(-1);
  const ends = new Float64Array(count);
  for (let i = count - 1; i >= 0; i--) {
    const f = facets[i] as number;
    const edges = edgesOf(t, heights, level, f);
    const k = key(f, edges & 3);
    startsAlike[i] = starts.get(k) ?? -1;
    starts.set(k, i);
    ends[i] = key(f, edges >> 2);
  }
  const next = new Int32Array(count).fill(-1);
  const hasBefore = new Uint8Array(count);
  for (let i = 0; i < count; i++) {
    const k = ends[i] as number;
    const j = starts.get(k) ?? -1;
    if (j < 0) continue;
    // Where several facets start on one edge, each is taken once: any pairing closes the loops.
    starts.set(k, startsAlike[j] as number);
    next[i] = j;
    hasBefore[j] = 1;
  }

  const used = new Uint8Array(count);
  const segment = new Float64Array(4);
  const walk = (from: number): Float64Array => {
    const xy: number[] = [];
    const put = (x: number, y: number): void => {
      const n = xy.length;
      if (n === 0 || xy[n - 2] !== x || xy[n - 1] !== y) xy.push(x, y);
    };
    let i = from;
    for (; i >= 0 && used[i] === 0; i = next[i] as number) {
      used[i] = 1;
      segmentOf(mesh, frame, plane.offsetMm, heights, level, facets[i] as number, segment);
      put(segment[0] as number, segment[1] as number);
      put(segment[2] as number, segment[3] as number);
    }
    if (i === from && xy.length > 2 && xy[0] === xy.at(-2) && xy[1] === xy.at(-1)) xy.length -= 2;
    return Float64Array.from(xy);
  };
  const loops: Float64Array[] = [];
  const chains: Float64Array[] = [];
  for (let i = 0; i < count; i++)
    if (hasBefore[i] === 0) {
      const points = walk(i);
      if (points.length >= 4) chains.push(points);
    }
  for (let i = 0; i < count; i++)
    if (used[i] === 0) {
      const points = walk(i);
      // Fewer than three points: a loop shrunk to a vertex or an edge of the plane.
      if (points.length >= 6) loops.push(points);
    }
  return { frame, loops, chains };
}
