import { dot, frameOf, type Vec3 } from '../math/index.ts';

/** All points p with dot(normal, p) = offsetMm; `normal` is a unit vector and points to `above`. */
export interface Plane {
  readonly normal: Vec3;
  readonly offsetMm: number;
}

/** Right-handed coordinates of a plane: u x v = normal; the origin is the point nearest to (0,0,0). */
export interface PlaneFrame {
  readonly origin: Vec3;
  readonly u: Vec3;
  readonly v: Vec3;
  readonly normal: Vec3;
}

/** The one frame used for a plane, the same for parallel planes: sections of a stack line up. */
export function planeFrame({ normal, offsetMm }: Plane): PlaneFrame {
  const { u, v } = frameOf(normal);
  return {
    origin: [normal[0] * offsetMm, normal[1] * offsetMm, normal[2] * offsetMm],
    u,
    v,
    normal,
  };
}

/** The plane's coordinates of the foot of `p`, mm. */
export const toFrame = (frame: PlaneFrame, p: Vec3): readonly [number, number] => [
  dot(frame.u, p) - dot(frame.u, frame.origin),
  dot(frame.v, p) - dot(frame.v, frame.origin),
];

/** The point in space at plane coordinates (x, y), mm. */
export const fromFrame = (frame: PlaneFrame, x: number, y: number): Vec3 => [
  frame.origin[0] + x * frame.u[0] + y * frame.v[0],
  frame.origin[1] + x * frame.u[1] + y * frame.v[1],
  frame.origin[2] + x * frame.u[2] + y * frame.v[2],
];
