import { cross, unit, type Vec3 } from '../math/index.ts';

/**
 * A parallel projection square to the paper. The three unit vectors are right-handed and given in
 * part coordinates: paper x, paper y, and from the paper towards the eye.
 */
export interface View {
  readonly name: string;
  readonly right: Vec3;
  readonly up: Vec3;
  readonly toward: Vec3;
}

/** The view of an eye in direction `toward`, with `upright` vertical on the paper. */
export function viewFrom(name: string, toward: Vec3, upright: Vec3 = [0, 0, 1]): View {
  const t = unit(toward);
  const r = t && unit(cross(upright, t));
  if (!t || !r)
    throw new Error(`No view from ${toward.join(', ')}: it looks along its own upright.`);
  return { name, right: r, up: cross(t, r), toward: t };
}

/**
 * The views of a drawing office. Front is what is seen looking along +Y. `iso` is the isometric
 * axonometry of ISO 5456-3, seen from the right, the front and above: X runs 30 degrees down to
 * the right, Y 30 degrees up to the right, Z upright, all three shortened by sqrt(2/3).
 */
export const VIEWS = {
  iso: viewFrom('iso', [1, -1, 1]),
  front: viewFrom('front', [0, -1, 0]),
  back: viewFrom('back', [0, 1, 0]),
  left: viewFrom('left', [-1, 0, 0]),
  right: viewFrom('right', [1, 0, 0]),
  top: viewFrom('top', [0, 0, 1], [0, 1, 0]),
  bottom: viewFrom('bottom', [0, 0, -1], [0, -1, 0]),
} as const satisfies Record<string, View>;
export type ViewName = keyof typeof VIEWS;

/** Paper x, paper y and height over the paper (greater is nearer to the eye) of points, flat. */
export function project(points: ArrayLike<number>, view: View): Float64Array {
  const { right: r, up: u, toward: t } = view;
  const out = new Float64Array(points.length);
  for (let i = 0; i < points.length; i += 3) {
    const x = points[i] as number;
    const y = points[i + 1] as number;
    const z = points[i + 2] as number;
    out[i] = x * r[0] + y * r[1] + z * r[2];
    out[i + 1] = x * u[0] + y * u[1] + z * u[2];
    out[i + 2] = x * t[0] + y * t[1] + z * t[2];
  }
  return out;
}
