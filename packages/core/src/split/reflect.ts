import { flipTriangles, boundsOf, sizeOf, type Mesh, type Plane } from '../mesh/index.ts';
import type { Vec3 } from '../math/index.ts';
import { bodyFrom } from './body.ts';
import type { KeepZone } from './keep.ts';
import { massOf } from './mass.ts';

/**
 * Signs that turn a part over its own axes into a form of its own: its centre on the positive side
 * of the middle of its box, along every axis. A part and its mirror image come to the same form,
 * are searched alike, and so get mirrored plans.
 */
export function handedness(mesh: Mesh, closed: boolean): Vec3 {
  const box = boundsOf(mesh.positions);
  const size = sizeOf(box);
  const diagonal = Math.hypot(...size);
  const centre = closed ? massOf(bodyFrom(mesh)).centreMm : meanOf(mesh.positions);
  return [0, 1, 2].map((i) => {
    const off = (centre[i] as number) - ((box.min[i] as number) + (box.max[i] as number)) / 2;
    return off < -1e-5 * diagonal ? -1 : 1;
  }) as unknown as Vec3;
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
