import { boxEnvelope } from '../../src/envelope/index.ts';
import type { Vec3 } from '../../src/math/index.ts';
import type { Mesh } from '../../src/mesh/index.ts';
import { cutLeaf, makeLeaf, type Draft, type Leaf, type Task } from '../../src/split/leaf.ts';
import { prepareSplit, type SplitOptions } from '../../src/split/prepare.ts';

export const CUBE = boxEnvelope(300, 300, 300);

/** A mesh for that cube in slabs square to X, cut at the given places, each end of the last cut off the rest. */
export function slabs(
  mesh: Mesh,
  at: readonly number[],
  options: SplitOptions = {},
): { draft: Draft; task: Task } {
  const { thin, task, signs } = prepareSplit(mesh, [CUBE], options);
  const grow = (leaf: Leaf, [x, ...rest]: readonly number[]): Draft => {
    if (x === undefined) return leaf;
    // The search may see the part reflected.
    const cut = { normal: [signs[0], 0, 0] as Vec3, offsetMm: x, origin: 'axis x' };
    const sides = cutLeaf(leaf, cut, task);
    if (!sides) throw new Error('no material');
    return { cut, leaf, below: sides.below, above: grow(sides.above, rest) };
  };
  return { draft: grow(makeLeaf(thin.body, [], task), at), task };
}
