import { flipTriangles, boundsOf, sizeOf, type Mesh, type Plane } from '../mesh/index.ts';
import { add, dot, scale, type Vec3 } from '../math/index.ts';
import { bodyFrom } from './body.ts';
import { upright } from './frames.ts';
import type { KeepZone } from './keep.ts';
import type { Cut } from './leaf.ts';
import { massOf } from './mass.ts';

/**
 * Signs that turn a part over its own axes into a form of its own: its centre on the positive side
 * of the middle of its box, along every axis. A part and its mirror image come to the same form,
 * are searched alike, and so get mirrored plans. Where the centre is in the middle, how its facets
 * are laid decides: even the two halves of a symmetrical part are seldom meshed alike.
 */
export function handedness(mesh: Mesh, closed: boolean): Vec3 {
  const box = boundsOf(mesh.positions);
  const diagonal = Math.hypot(...sizeOf(box));
  const middle = scale(add(box.min, box.max), 0.5);
  const centre = closed ? massOf(bodyFrom(mesh)).centreMm : meanOf(mesh.positions);
  const sides = centre.map((c, i) => {
    const off = c - (middle[i] as number);
    return Math.abs(off) <= 1e-5 * diagonal ? [1, -1] : [Math.sign(off)];
  });
  const [xs = [], ys = [], zs = []] = sides;
  const all = xs.flatMap((x) => ys.flatMap((y) => zs.map((z): Vec3 => [x, y, z])));
  if (all.length === 1) return all[0] as Vec3;
  const marked = all.map((signs) => ({ signs, mark: layingMark(mesh, middle, diagonal, signs) }));
  return marked.reduce((a, b) => (b.mark < a.mark ? b : a)).signs;
}

/** A number that tells how facets are laid, wherever the mesh is and whatever their order. */
function layingMark(mesh: Mesh, middle: Vec3, diagonal: number, [sx, sy, sz]: Vec3): number {
  const { positions: p, triangles: t } = mesh;
  const marks = new Int32Array(p.length / 3);
  const grains = 1e6 / diagonal;
  for (let i = 0, o = 0; i < marks.length; i++, o += 3) {
    const x = Math.round(sx * ((p[o] as number) - middle[0]) * grains);
    const y = Math.round(sy * ((p[o + 1] as number) - middle[1]) * grains);
    const z = Math.round(sz * ((p[o + 2] as number) - middle[2]) * grains);
    marks[i] = stirred(stirred(stirred(x) + y) + z);
  }
  let sum = 0;
  for (let f = 0; f < t.length; f += 3) {
    const [a, b, c] = [t[f] as number, t[f + 1] as number, t[f + 2] as number];
    sum = (sum + stirred((marks[a] as number) + (marks[b] as number) + (marks[c] as number))) | 0;
  }
  return sum;
}

/** A whole number of 32 bits made from another, so that neighbours come to lie far apart. */
function stirred(n: number): number {
  let x = Math.imul(n ^ (n >>> 16), 0x45d9f3b);
  x = Math.imul(x ^ (x >>> 15), 0x45d9f3b);
  return x ^ (x >>> 16);
}

function meanOf(positions: Float64Array): Vec3 {
  const sum = [0, 0, 0];
  for (let i = 0; i < positions.length; i++)
    sum[i % 3] = (sum[i % 3] as number) + (positions[i] as number);
  return sum.map((s) => (3 * s) / positions.length) as unknown as Vec3;
}

export const reflected = (v: Vec3, signs: Vec3): Vec3 => [
  v[0] * signs[0],
  v[1] * signs[1],
  v[2] * signs[2],
];

export function reflectMesh(mesh: Mesh, signs: Vec3): Mesh {
  if (signs.every((s) => s === 1)) return mesh;
  return {
    positions: mesh.positions.map((x, i) => x * (signs[i % 3] as number)),
    triangles: signs[0] * signs[1] * signs[2] < 0 ? flipTriangles(mesh.triangles) : mesh.triangles,
  };
}

export function reflectZone(zone: KeepZone, signs: Vec3): KeepZone {
  if (zone.shape === 'sphere') return { ...zone, centreMm: reflected(zone.centreMm, signs) };
  const a = reflected(zone.minMm, signs);
  const b = reflected(zone.maxMm, signs);
  return {
    shape: 'box',
    minMm: a.map((x, i) => Math.min(x, b[i] as number)) as unknown as Vec3,
    maxMm: a.map((x, i) => Math.max(x, b[i] as number)) as unknown as Vec3,
  };
}

export const reflectPlane = <P extends Plane>(plane: P, signs: Vec3): P => ({
  ...plane,
  normal: reflected(plane.normal, signs).map((x) => x + 0) as unknown as Vec3,
});

/** A cut with its normal pointing the usual way, and whether it had to be turned over; given ones stay. */
export function usualWay(cut: Cut): { readonly cut: Cut; readonly turned: boolean } {
  const { normal: n, offsetMm } = cut;
  if (cut.origin === 'given' || dot(upright(n) ?? n, n) >= 0) return { cut, turned: false };
  const normal = n.map((x) => 0 - x) as unknown as Vec3;
  return { cut: { ...cut, normal, offsetMm: -offsetMm }, turned: true };
}
