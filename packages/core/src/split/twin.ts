import { dot, scale, sub, type Vec3 } from '../math/index.ts';
import { boundsOf, massProperties, sizeOf, type Mesh } from '../mesh/index.ts';
import type { PlaneTree } from './measure.ts';
import { inOrder } from './ordered.ts';
import { reflected, reflectMesh, usualWay } from './reflect.ts';

/** How near boxes, volumes and inertia of mirror images are, as a share: sides are often meshed apart. */
const NEAR = 3e-3;
/** Corners this near, as a share of the size, are the same: such parts are searched alike anyway. */
const SAME = 1e-9;

const MIRRORS: readonly Vec3[] = [
  [-1, 1, 1],
  [1, -1, 1],
  [1, 1, -1],
];

/** Turned over and moved: p becomes signs * p + moveMm. */
export interface Mirror {
  readonly signs: Vec3;
  readonly moveMm: Vec3;
}

/**
 * How a part of the other side is turned over into the place of this one. Mirror images are known by
 * their box, volume and inertia (mirrored across an axis, wherever they lie), for kits mesh both sides
 * anew. Nothing rests on it but where plans come from: each part's are certified on itself.
 * @returns null where it is no mirror image, or one to the last corner: those are searched alike
 */
export function mirrorOf(twin: Mesh, part: Mesh): Mirror | null {
  const [a, b] = [massProperties(twin), massProperties(part)];
  const box = boundsOf(part.positions);
  const size = Math.hypot(...sizeOf(box));
  const near = (x: number, y: number, of: number): boolean => Math.abs(x - y) <= NEAR * Math.abs(of);
  if (!(b.volumeMm3 > 0) || !near(a.volumeMm3, b.volumeMm3, b.volumeMm3)) return null;
  const spread = b.inertiaMm5[0] + b.inertiaMm5[4] + b.inertiaMm5[8];
  for (const signs of MIRRORS) {
    const [x, y, z] = signs;
    const turned = [1, x * y, x * z, x * y, 1, y * z, x * z, y * z, 1].map((s, k) => s * (a.inertiaMm5[k] as number));
    if (!turned.every((i, k) => near(i, b.inertiaMm5[k] as number, spread))) continue;
    const moveMm = sub(b.centreMm, reflected(a.centreMm, signs));
    const image = imageOf(twin, { signs, moveMm });
    const other = boundsOf(image.positions);
    const apart = [sub(other.min, box.min), sub(other.max, box.max)].flat();
    if (!apart.every((d) => near(d, 0, size))) continue;
    return sameCorners(image, part, SAME * size) ? null : { signs, moveMm };
  }
  return null;
} // prettier-ignore

/** The way back. */
export const inverse = ({ signs, moveMm }: Mirror): Mirror => ({
  signs,
  moveMm: scale(reflected(moveMm, signs), -1),
});

/** A tree of planes turned over, normals pointing the usual way. */
export function mirroredTree(tree: PlaneTree, mirror: Mirror): PlaneTree {
  if (!tree) return null;
  const { signs, moveMm } = mirror;
  const normal = reflected(tree.cut.normal, signs);
  const offsetMm = tree.cut.offsetMm + dot(normal, moveMm);
  const { cut, turned } = usualWay({ ...tree.cut, normal, offsetMm });
  const [below, above] = [mirroredTree(tree.below, mirror), mirroredTree(tree.above, mirror)];
  return turned ? { cut, below: above, above: below } : { cut, below, above };
}

const imageOf = (mesh: Mesh, { signs, moveMm }: Mirror): Mesh => {
  const image = reflectMesh(mesh, signs);
  const positions = image.positions.map((x, i) => x + (moveMm[i % 3] as number));
  return { ...image, positions };
};

function sameCorners(a: Mesh, b: Mesh, withinMm: number): boolean {
  if (a.positions.length !== b.positions.length || a.triangles.length !== b.triangles.length) return false; // prettier-ignore
  const [p, q] = [inOrder(a).positions, inOrder(b).positions];
  return p.every((x, i) => Math.abs(x - (q[i] as number)) <= withinMm);
}
