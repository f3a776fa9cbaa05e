import { unit, type Vec3 } from '../math/index.ts';
import { PART_AXES, sameLine } from './frames.ts';

/** Normals within this count as the same: what a file's single precision leaves open, degrees. */
const SAME_DEG = 0.02;

/**
 * Normals a person sets without reckoning: along an axis of the part or at 45 degrees between two
 * of them, square to its large flat faces and along its mirror planes, or as the maker gave them.
 * @param own normals of faces and mirror planes, or the given ones
 */
export function plainNormals(own: readonly Vec3[]): Vec3[] {
  const plain: Vec3[] = [...PART_AXES];
  for (let i = 0; i < 3; i++)
    for (const s of [1, -1]) {
      const d: [number, number, number] = [0, 0, 0];
      d[i] = s;
      d[(i + 1) % 3] = 1;
      plain.push(unit(d) as Vec3);
    }
  for (const d of own) if (!isPlain(d, plain)) plain.push(d);
  return plain;
}

export const isPlain = (normal: Vec3, plain: readonly Vec3[]): boolean =>
  plain.some((d) => sameLine(d, normal, SAME_DEG));
