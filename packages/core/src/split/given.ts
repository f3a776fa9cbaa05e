import { ScantlingError } from '../errors.ts';
import { scale, unit, type Vec3 } from '../math/index.ts';
import { crossesZone } from './keep.ts';
import { cutLeaf, isFork, type Draft, type Leaf, type Task } from './leaf.ts';

/**
 * Planes given by hand, carried out in their order: each cuts every piece it meets.
 * @throws ScantlingError `BAD_DIRECTION` for a zero normal
 */
export function givenDraft(
  root: Leaf,
  planes: readonly { readonly normal: Vec3; readonly offsetMm: number }[],
  task: Task,
): { readonly draft: Draft; readonly remarks: readonly string[] } {
  const remarks: string[] = [];
  let draft: Draft = root;
  planes.forEach((given, i) => {
    const normal = unit(given.normal);
    if (!normal)
      throw new ScantlingError('BAD_DIRECTION', `Plane ${i + 1} has no direction.`, {
        remedy: 'Write it as x=MM, y=MM, z=MM or NX,NY,NZ=MM.',
      });
    // The offset belongs to the normal as given: both are brought to length 1 together.
    const factor = Math.hypot(...scale(given.normal, 1));
    const cut = { normal, offsetMm: given.offsetMm / factor, origin: 'given' };
    let met = false;
    const walk = (part: Draft): Draft => {
      if (isFork(part)) return { ...part, below: walk(part.below), above: walk(part.above) };
      const sides = cutLeaf(part, cut, task);
      if (!sides) return part;
      met = true;
      return { cut, leaf: part, ...sides };
    };
    draft = walk(draft);
    if (!met) remarks.push(`Plane ${i + 1} misses the part and does nothing.`);
    else if (task.keep.some((zone) => crossesZone(zone, cut)))
      remarks.push(`Plane ${i + 1} passes through a place to be kept whole.`);
  });
  return { draft, remarks };
}
