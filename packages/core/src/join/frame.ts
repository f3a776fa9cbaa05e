import { dot, type Vec3 } from '../math/index.ts';
import type { Plane, PlaneFrame } from '../mesh/index.ts';

/** The side of a plane that is kept: dot(normal, p) <= offsetMm. */
export type HalfSpace = Plane;

export const sideBelow = (plane: Plane): HalfSpace => plane;
export const sideAbove = (plane: Plane): HalfSpace => ({
  normal: [-plane.normal[0], -plane.normal[1], -plane.normal[2]],
  offsetMm: -plane.offsetMm,
});

/** Face coordinates x, y in the plane and z along its normal, mm. */
export function toFace(f: PlaneFrame, p: Vec3): Vec3 {
  const d: Vec3 = [p[0] - f.origin[0], p[1] - f.origin[1], p[2] - f.origin[2]];
  return [dot(d, f.u), dot(d, f.v), dot(d, f.normal)];
}

/** Part coordinates of a point given in the face's frame, mm. */
export const fromFace = (f: PlaneFrame, x: number, y: number, z = 0): Vec3 => [
  f.origin[0] + x * f.u[0] + y * f.v[0] + z * f.normal[0],
  f.origin[1] + x * f.u[1] + y * f.v[1] + z * f.normal[1],
  f.origin[2] + x * f.u[2] + y * f.v[2] + z * f.normal[2],
];

/** A half-space in face coordinates: a x + b y + c z <= d, with a2 + b2 + c2 = 1. */
export interface FaceHalfSpace {
  readonly a: number;
  readonly b: number;
  readonly c: number;
  readonly d: number;
}

export const halfSpaceInFace = (f: PlaneFrame, h: HalfSpace): FaceHalfSpace => ({
  a: dot(h.normal, f.u),
  b: dot(h.normal, f.v),
  c: dot(h.normal, f.normal),
  d: h.offsetMm - dot(h.normal, f.origin),
});
