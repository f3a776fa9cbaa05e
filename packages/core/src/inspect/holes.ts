import { cross, dot, length, scale, sub, unit, type Vec3 } from '../math/index.ts';
import {
  boundsOf,
  loopArea,
  planeFrame,
  sizeOf,
  toFrame,
  windingOf,
  type Mesh,
  type PlaneFrame,
} from '../mesh/index.ts';
import { openRims, type Rim } from './openEdges.ts';
import { topologyOf } from './topology.ts';

/** A rim is flat when no vertex stands off its mean plane by more than this share of its width. */
export const FLAT_RIM = 1e-3;
/** A rim that is not flat may still be closed when its width is at most this share of the part's diagonal. */
export const SMALL_RIM = 0.05;

export interface Filled {
  readonly mesh: Mesh;
  readonly flatHoles: number;
  readonly smallHoles: number;
  readonly facetsAdded: number;
  readonly areaAddedMm2: number;
  /** Length of the longest rim closed, mm. */
  readonly longestRimMm: number;
  /** Rims left open: neither flat nor small, not closed in themselves, or not to be triangulated. */
  readonly left: readonly Rim[];
}

interface FlatRim {
  readonly rim: Rim;
  /** The vertices against the facets' order: the outline of the patch. */
  readonly outline: readonly number[];
  readonly normal: Vec3;
  readonly offsetMm: number;
  readonly widthMm: number;
  readonly flat: boolean;
}

/**
 * Closes the holes that can honestly be closed: flat ones of any size, since only one surface is
 * plausible there, and small ones, where any surface is nearly right. A flat rim inside another
 * in the same plane is its hole, as at the open end of a tube. No vertex is added or moved.
 * Patches are cut into triangles by ear clipping (earcut, in three's ShapeUtils).
 */
export async function fillHoles(mesh: Mesh): Promise<Filled> {
  const { ShapeUtils, Vector2 } = await import('three');
  const size = sizeOf(boundsOf(mesh.positions));
  const small = SMALL_RIM * Math.hypot(size[0], size[1], size[2]);
  const rims = openRims(topologyOf(mesh));
  const left: Rim[] = rims.filter((rim) => !rim.closed);
  const closed = rims.filter((rim) => rim.closed).map((rim) => flattened(mesh, rim));
  const waiting = new Set(closed);
  const added: number[] = [];
  let flatHoles = 0;
  let smallHoles = 0;
  let longestRimMm = 0;
  let areaAddedMm2 = 0;

  // Longest first: an outer rim comes before those inside it.
  for (const outer of closed) {
    if (!waiting.has(outer)) continue;
    waiting.delete(outer);
    if (!outer.flat && outer.widthMm > small) {
      left.push(outer.rim);
      continue;
    }
    const frame = planeFrame(outer);
    const inner = outer.flat ? [...waiting].filter((r) => isHoleOf(mesh, frame, outer, r)) : [];
    const group = [outer, ...inner];
    const loops = group.map((r) => loopIn(mesh, frame, r.outline));
    const vertices = group.flatMap((r) => r.outline);
    const [contour, ...holes] = loops.map((loop) =>
      Array.from({ length: loop.length / 2 }, (_, i) => new Vector2(loop[2 * i], loop[2 * i + 1])),
    );
    const patch = ShapeUtils.triangulateShape(contour ?? [], holes);
    const area = loops.reduce((sum, loop) => sum + loopArea(loop), 0);
    const flatPoints = loops.flatMap((loop) => Array.from(loop));
    const covered = patch.reduce((sum, f) => sum + Math.abs(triangleArea(flatPoints, f)), 0);
    // All triangles of a plain outline, and no overlap: their areas add up to the outline's.
    const wanted = vertices.length - 2 + 2 * inner.length;
    if (patch.length !== wanted || !(Math.abs(covered - area) <= 1e-6 * Math.abs(area))) {
      left.push(outer.rim);
      continue;
    }
    for (const f of patch)
      // The library may answer in either direction; ours runs with the outline.
      added.push(...(triangleArea(flatPoints, f) < 0 ? [f[0], f[2], f[1]] : f).map((i) => vertices[i as number] as number)); // prettier-ignore
    for (const r of group) {
      waiting.delete(r);
      if (r.flat) flatHoles++;
      else smallHoles++;
      longestRimMm = Math.max(longestRimMm, r.rim.lengthMm);
    }
    areaAddedMm2 += area;
  }
  return {
    mesh: {
      positions: mesh.positions,
      triangles: Uint32Array.from([...mesh.triangles, ...added]),
    },
    flatHoles,
    smallHoles,
    facetsAdded: added.length / 3,
    areaAddedMm2,
    longestRimMm,
    left,
  };
}

function flattened({ positions: p }: Mesh, rim: Rim): FlatRim {
  const outline = [...rim.vertices].reverse();
  const at = (i: number): Vec3 => {
    const v = 3 * (outline[i % outline.length] as number);
    return [p[v] as number, p[v + 1] as number, p[v + 2] as number];
  };
  // Newell's normal: the sum of the fan's cross products, about the rim's own centre.
  let sum: Vec3 = [0, 0, 0];
  let widthMm = 0;
  for (let i = 0; i < outline.length; i++) {
    const a = sub(at(i), rim.centreMm);
    const c = cross(a, sub(at(i + 1), rim.centreMm));
    sum = [sum[0] + c[0], sum[1] + c[1], sum[2] + c[2]];
    widthMm = Math.max(widthMm, 2 * length(a));
  }
  const normal = unit(scale(sum, 1 / (widthMm * widthMm || 1))) ?? [0, 0, 1];
  const offsetMm = dot(normal, rim.centreMm);
  let off = 0;
  for (let i = 0; i < outline.length; i++)
    off = Math.max(off, Math.abs(dot(normal, at(i)) - offsetMm));
  return { rim, outline, normal, offsetMm, widthMm, flat: off <= FLAT_RIM * widthMm };
}

function loopIn(
  { positions: p }: Mesh,
  frame: PlaneFrame,
  outline: readonly number[],
): Float64Array {
  return Float64Array.from(
    outline.flatMap((v) =>
      toFrame(frame, [p[3 * v] as number, p[3 * v + 1] as number, p[3 * v + 2] as number]),
    ),
  );
}

/** Whether a flat rim lies in the plane of `outer`, within it, and faces the other way. */
function isHoleOf(mesh: Mesh, frame: PlaneFrame, outer: FlatRim, rim: FlatRim): boolean {
  if (!rim.flat || dot(rim.normal, outer.normal) > -1 + FLAT_RIM) return false;
  if (Math.abs(rim.offsetMm + outer.offsetMm) > FLAT_RIM * outer.widthMm) return false;
  const loop = loopIn(mesh, frame, outer.outline);
  const [x, y] = loopIn(mesh, frame, rim.outline) as unknown as [number, number];
  return windingOf([loop], x, y) === 1;
}

function triangleArea(xy: readonly number[], f: readonly number[]): number {
  const [a, b, c] = f.map((i) => [xy[2 * i] as number, xy[2 * i + 1] as number]) as [
    [number, number],
    [number, number],
    [number, number],
  ];
  return ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])) / 2;
}
