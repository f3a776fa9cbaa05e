import { unit, type Vec3 } from '../math/index.ts';
import { PART_AXES, sameLine } from './frames.ts';

/** Half way between two axes of the part; not of unit length. */
const DIAGONALS: readonly Vec3[] = [
  [1, 1, 0],
  [-1, 1, 0],
  [1, 0, 1],
  [-1, 0, 1],
  [0, 1, 1],
  [0, -1, 1],
];

/** Normals within this count as the same: what a file's single precision leaves open, degrees. */
const SAME_DEG = 0.02;

/**
 * Normals a person sets without reckoning: along an axis of the part or at 45 degrees between two
 * of them, square to its large flat faces and along its mirror planes, or as the maker gave them.
 * @param own normals of faces and mirror planes, or the given ones
 */
export function plainNormals(own: readonly Vec3[]): Vec3[] {
  const plain: Vec3[] = [...PART_AXES, ...DIAGONALS.map((d) => unit(d) as Vec3)];
  for (const d of own) if (!isPlain(d, plain)) plain.push(d);
  return plain;
}

export const isPlain = (normal: Vec3, plain: readonly Vec3[]): boolean =>
  plain.some((d) => sameLine(d, normal, SAME_DEG));
