import { dot, type Vec3, type Axes } from '../math/index.ts';
import { skinPoints } from './body.ts';
import { extremePoints, sameLine, upright } from './frames.ts';
import { crossesZone } from './keep.ts';
import { cutLeaf, isFork, leavesOf, type Draft, type Leaf, type Task } from './leaf.ts';

/** Most slabs tried beyond the fewest that the boxes promise. */
const TRIES = 3;

/**
 * Plans of equal slices to start from: slabs along every direction, and grids along every frame.
 * A slice that already fits is not cut further. They need not be good: they are what a greedy
 * search misses, since its first cut does not know of the others.
 */
export function seedDrafts(root: Leaf, task: Task): Draft[] {
  const seeds: Draft[] = [];
  const points = extremePoints(skinPoints(root.body), 400);
  const most = Math.min(root.count, 64);
  const wanted = Math.max(2, task.wanted);
  for (const { normal, origin } of task.candidates.directions) {
    const [low, high] = extent(points, normal);
    const fewest = Math.max(wanted, Math.ceil(((high - low) / task.judge.diagonalMm) * (1 - 1e-9)));
    for (let k = fewest; k < fewest + TRIES && k <= Math.max(most, wanted); k++) {
      const slabs = slice(root, normal, origin, low, high, k, task, false);
      if (!slabs) continue;
      seeds.push(slabs);
      if (leavesOf(slabs).every((leaf) => leaf.count === 1)) break;
    }
  }
  for (const frame of task.candidates.frames) {
    const grid = gridDraft(root, frame, points, task);
    if (grid) seeds.push(grid);
  }
  return seeds;
}

function extent(points: Float64Array, n: Vec3): readonly [number, number] {
  let low = Infinity;
  let high = -Infinity;
  for (let i = 0; i < points.length; i += 3) {
    const h = dot([points[i] as number, points[i + 1] as number, points[i + 2] as number], n);
    if (h < low) low = h;
    if (h > high) high = h;
  }
  return [low, high];
}

/** k equal slabs of a draft's leaves from low to high; null when a keep zone is in the way. */
function slice(
  draft: Draft,
  normal: Vec3,
  origin: string,
  low: number,
  high: number,
  k: number,
  task: Task,
  onlyNeeded: boolean,
): Draft | null {
  // The middle planes first: a balanced tree is the shorter way to glue.
  const cutAt = (part: Draft, from: number, to: number): Draft => {
    if (to - from < 2) return part;
    if (isFork(part)) return part;
    if (onlyNeeded && part.count === 1) return part;
    const middle = Math.floor((from + to) / 2);
    const offsetMm = low + ((high - low) * middle) / k;
    const cut = { normal, offsetMm, origin };
    if (task.keep.some((zone) => crossesZone(zone, cut))) throw new Blocked();
    const sides = cutLeaf(part, cut, task);
    if (!sides) {
      // All of it lies on one side: go on there.
      const below = cutAt(part, from, middle);
      return below === part ? cutAt(part, middle, to) : below;
    }
    return {
      cut,
      leaf: part,
      below: cutAt(sides.below, from, middle),
      above: cutAt(sides.above, middle, to),
    };
  };
  const walk = (part: Draft): Draft =>
    isFork(part)
      ? { ...part, below: walk(part.below), above: walk(part.above) }
      : cutAt(part, 0, k);
  try {
    return walk(draft);
  } catch (error) {
    if (error instanceof Blocked) return null;
    throw error;
  }
}

class Blocked extends Error {}

function gridDraft(root: Leaf, frame: Axes, points: Float64Array, task: Task): Draft | null {
  const spans = frame.map((d) => extent(points, d));
  const size = spans.map(([low, high]) => high - low) as unknown as Vec3;
  const { count, slices } = task.judge.reach.count(size);
  if (count < 2 || count > 512) return null;
  let draft: Draft | null = root;
  for (const i of [0, 1, 2].sort((a, b) => (slices[b] as number) - (slices[a] as number))) {
    const k = slices[i] as number;
    if (k < 2 || !draft) continue;
    const axis = frame[i] as Vec3;
    const near = task.candidates.directions.find((d) => sameLine(d.normal, axis, 5));
    if (!near) return null;
    const exact = sameLine(near.normal, axis, 0.01);
    const normal = exact ? near.normal : (upright(axis) ?? axis);
    const [low, high] = extent(points, normal);
    draft = slice(draft, normal, exact ? near.origin : 'box', low, high, k, task, true);
  }
  return draft;
}
