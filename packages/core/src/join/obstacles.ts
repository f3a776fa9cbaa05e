import type { Vec3 } from '../math/index.ts';
import type { PlaneFrame } from '../mesh/index.ts';
import { triangleDistanceToHole, distanceToHole, type Hole } from './clearance.ts';
import { halfSpaceInFace, toFace, type FaceHalfSpace, type HalfSpace } from './frame.ts';
import type { WallTo } from './schema.ts';

/** Where no hole may go, part coordinates, mm. */
export type JointKeepOut =
  | { readonly shape: 'sphere'; readonly centreMm: Vec3; readonly radiusMm: number }
  | { readonly shape: 'box'; readonly minMm: Vec3; readonly maxMm: Vec3 };

/** A rod or tube through the figure: an endless cylinder. */
export interface Rod {
  readonly pointMm: Vec3;
  /** Unit vector. */
  readonly axis: Vec3;
  readonly diameterMm: number;
}

/** A hole already drilled from some cut, part coordinates, mm. */
export interface DrilledHole {
  readonly fromMm: Vec3;
  readonly toMm: Vec3;
  readonly radiusMm: number;
}

export interface Obstacles {
  readonly below: readonly HalfSpace[];
  readonly above: readonly HalfSpace[];
  readonly keepOuts: readonly JointKeepOut[];
  readonly rods: readonly Rod[];
  readonly holes: readonly DrilledHole[];
}

export interface Wall {
  readonly mm: number;
  readonly to: WallTo;
}

/**
 * Asks for the least wall between a hole and everything but the skin, in the frame of one face.
 * Every figure is the exact distance or, between two holes and to a rod, that of their rounded
 * ends: never more than there is.
 */
export function obstacleWalls(frame: PlaneFrame, o: Obstacles): (hole: Hole) => Wall {
  const below = o.below.map((h) => halfSpaceInFace(frame, h));
  const above = o.above.map((h) => halfSpaceInFace(frame, h));
  const holes = o.holes.map((h) => ({
    a: toFace(frame, h.fromMm),
    b: toFace(frame, h.toMm),
    r: h.radiusMm,
  }));
  const rods = o.rods.map((rod) => {
    const at = toFace(frame, rod.pointMm);
    const far: Vec3 = [
      rod.pointMm[0] + rod.axis[0],
      rod.pointMm[1] + rod.axis[1],
      rod.pointMm[2] + rod.axis[2],
    ];
    const b = toFace(frame, far);
    const d: Vec3 = [b[0] - at[0], b[1] - at[1], b[2] - at[2]];
    const end = (k: number): Vec3 => [at[0] + k * d[0], at[1] + k * d[1], at[2] + k * d[2]];
    // Longer than any part: 100 m either way.
    return { a: end(-1e5), b: end(1e5), r: rod.diameterMm / 2 };
  });
  const keepOuts = o.keepOuts.map((k) => keepOutDistance(frame, k));
  return (hole) => {
    let least: Wall = { mm: Infinity, to: 'cut' };
    const look = (mm: number, to: WallTo): void => {
      if (mm < least.mm) least = { mm: Math.max(0, mm), to };
    };
    for (const h of below) look(toHalfSpace(hole, hole.z0, 0, h), 'cut');
    for (const h of above) look(toHalfSpace(hole, 0, hole.z1, h), 'cut');
    const a: Vec3 = [hole.cx, hole.cy, hole.z0];
    const b: Vec3 = [hole.cx, hole.cy, hole.z1];
    for (const h of holes) look(segmentDistance(a, b, h.a, h.b) - hole.r - h.r, 'hole');
    for (const h of rods) look(segmentDistance(a, b, h.a, h.b) - hole.r - h.r, 'rod');
    for (const k of keepOuts) look(k(hole), 'keep-out');
    return least;
  };
}

/** How far the stretch z0..z1 of the hole stays inside the half-space; negative when it leaves it. */
function toHalfSpace(hole: Hole, z0: number, z1: number, h: FaceHalfSpace): number {
  const out = h.a * hole.cx + h.b * hole.cy + Math.max(h.c * z0, h.c * z1);
  return h.d - out - hole.r * Math.hypot(h.a, h.b);
}

function keepOutDistance(frame: PlaneFrame, k: JointKeepOut): (hole: Hole) => number {
  if (k.shape === 'sphere') {
    const c = toFace(frame, k.centreMm);
    return (hole) => distanceToHole(hole, ...c) - k.radiusMm;
  }
  const corner = (i: number): Vec3 =>
    toFace(frame, [
      i & 1 ? k.maxMm[0] : k.minMm[0],
      i & 2 ? k.maxMm[1] : k.minMm[1],
      i & 4 ? k.maxMm[2] : k.minMm[2],
    ]);
  const facets = BOX_FACETS.map((f) => Float64Array.from(f.flatMap(corner)));
  return (hole) => {
    const middle: Vec3 = [
      frame.origin[0] + hole.cx * frame.u[0] + hole.cy * frame.v[0],
      frame.origin[1] + hole.cx * frame.u[1] + hole.cy * frame.v[1],
      frame.origin[2] + hole.cx * frame.u[2] + hole.cy * frame.v[2],
    ];
    // A hole wholly inside the box touches no facet of it.
    if (middle.every((x, i) => x >= (k.minMm[i] as number) && x <= (k.maxMm[i] as number)))
      return 0;
    return facets.reduce((d, f) => Math.min(d, triangleDistanceToHole(hole, f, d)), Infinity);
  };
}

const BOX_FACETS = [
  [0, 2, 3], [0, 3, 1], [4, 5, 7], [4, 7, 6], [0, 1, 5], [0, 5, 4],
  [2, 6, 7], [2, 7, 3], [0, 4, 6], [0, 6, 2], [1, 3, 7], [1, 7, 5],
]; // prettier-ignore

/** Least distance between the segments p0-p1 and q0-q1 (Ericson, Real-Time Collision Detection, 5.1.9). */
export function segmentDistance(p0: Vec3, p1: Vec3, q0: Vec3, q1: Vec3): number {
  const d1: Vec3 = [p1[0] - p0[0], p1[1] - p0[1], p1[2] - p0[2]];
  const d2: Vec3 = [q1[0] - q0[0], q1[1] - q0[1], q1[2] - q0[2]];
  const r: Vec3 = [p0[0] - q0[0], p0[1] - q0[1], p0[2] - q0[2]];
  const a = d1[0] ** 2 + d1[1] ** 2 + d1[2] ** 2;
  const e = d2[0] ** 2 + d2[1] ** 2 + d2[2] ** 2;
  const f = d2[0] * r[0] + d2[1] * r[1] + d2[2] * r[2];
  const c = d1[0] * r[0] + d1[1] * r[1] + d1[2] * r[2];
  const b = d1[0] * d2[0] + d1[1] * d2[1] + d1[2] * d2[2];
  const clamp = (x: number): number => Math.max(0, Math.min(1, x));
  const denominator = a * e - b * b;
  let s = denominator > 1e-12 * a * e ? clamp((b * f - c * e) / denominator) : 0;
  let t = e > 0 ? (b * s + f) / e : 0;
  if (t < 0) [t, s] = [0, a > 0 ? clamp(-c / a) : 0];
  else if (t > 1) [t, s] = [1, a > 0 ? clamp((b - c) / a) : 0];
  return Math.hypot(
    r[0] + d1[0] * s - d2[0] * t,
    r[1] + d1[1] * s - d2[1] * t,
    r[2] + d1[2] * s - d2[2] * t,
  );
}
