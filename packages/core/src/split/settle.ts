import { checkCancelled } from '../context.ts';
import { skinPoints, type Body } from './body.ts';
import { PART_AXES } from './frames.ts';
import { cutsOf, isFork, leavesOf, type Cut, type Draft, type Fork, type Task } from './leaf.ts';
import { figuresOf } from './mass.ts';
import { segmentsOf } from './segments.ts';
import { carriedOut, costOf, heatAt, shapeOf, Shaking, type Price } from './shake.ts';
import { faceCost, hiddenRelief } from './sweep-cost.ts';

/** Two pieces are parted by one cut: the pattern search of `refine` moves that. */
const LEAST = 3;
/** Plans of more get no last touches either, and without them hardly anything is gained. */
const MOST = 16;
/** Walks from the same plan: where one comes to nothing another may not. */
const WALKS = 2;
/** Pieces too large by as much as the machine, in total, weigh like so many times the plan's seams. */
const TOO_LARGE = 5;
/** How much dearer a move may make the plan, at first and in the end, as a share of TOO_LARGE. */
const HEAT = { first: 0.004, last: 0.00006 };
/** Moves after which it is seen whether what was found holds on the part as well. */
const CHECKED = 64;
/** Few planes need their moves, too, until they have cooled: so many pieces more are counted. */
const ALWAYS = 5;
/** Moves to make the last find fit the part, as a share of all. */
const FITTING = 0.25;

/**
 * The same number of pieces for less: all planes are moved about together by simulated annealing
 * (Kirkpatrick, Gelatt and Vecchi 1983) on the seams' length. The search prices each cut for itself
 * and refines one at a time; where pieces only just fit, no single plane can be moved, but a first
 * cut and those it bounds can be moved together.
 *
 * @returns what the walks found; none when there is nothing to move
 */
export function settled(draft: Draft, task: Task): Draft[] {
  const pieces = leavesOf(draft).length;
  if (!isFork(draft) || pieces < LEAST || pieces > MOST) return [];
  if (task.settings.settleMoves === 0) return [];
  if (cutsOf(draft).every((cut) => cut.origin === 'given')) return [];
  const price: Price = {
    of: (cut, body, heights) => seamPrice(cut, body, task, heights),
    perMm: 1 / (TOO_LARGE * Math.max(1, seamsOf(draft, task))),
  };
  const moves = task.settings.settleMoves * (ALWAYS + pieces);
  return Array.from({ length: WALKS }, (_, walk) =>
    walked(draft, task, { price, moves, seed: walk + 1 }),
  ).filter((found) => found !== null);
}

interface Walk {
  readonly price: Price;
  readonly moves: number;
  readonly seed: number;
}

/** The cheapest met on a walk by which all pieces fit. */
function walked(draft: Fork, task: Task, { price, moves, seed }: Walk): Draft | null {
  const { leaf } = draft;
  // Asked for each walk: the one before may have found better rotations.
  const shape = shapeOf(
    draft,
    ({ body }) => task.judge.witness(skinPoints(body), 'quick') ?? PART_AXES,
  );
  const walk = new Shaking(task, price, seed);
  const start = walk.grow(shape, task.rough());
  if (!start) return null;
  let node = start;
  let least = { node: start, costMm: Infinity };
  let sure: { draft: Draft | null; costMm: number } = { draft: null, costMm: Infinity };
  for (let k = 0; k <= moves; k++) {
    if (k % 256 === 0) checkCancelled(task.signal && { signal: task.signal });
    node = walk.moved(node, heatAt(HEAT, k / moves));
    const costMm = costOf(node);
    if (node.over > 0 || costMm >= sure.costMm) continue;
    if (costMm < least.costMm) least = { node, costMm };
    if (k % CHECKED !== 0) continue;
    const whole = walk.grow(node, leaf.body);
    const found = whole?.over === 0 ? carriedOut(whole, leaf, task) : null;
    if (found) sure = { draft: found, costMm };
  }
  if (least.costMm >= sure.costMm) return sure.draft;
  const fitting = new Shaking(task, null, seed);
  const bodies = [task.rough(), task.sketch(), leaf.body];
  const perPiece = FITTING * task.settings.settleMoves;
  return fitting.run(least.node, leaf, bodies, perPiece) ?? sure.draft;
}

/** What a cut costs by its outline and its direction alone, mm of seam. */
function seamPrice(cut: Cut, body: Body, task: Task, heights?: Float64Array): number {
  const segments = segmentsOf(body, cut, task.seenFrom, heights);
  const outline = { ...figuresOf(segments, body), areaMm2: 0 };
  const none = { sliverMm2: 0, lighterMm3: 0, armMm: 0, imbalance: 0 };
  return faceCost({ ...cut, ...outline, ...none }, task) - hiddenRelief(segments, task);
}

const seamsOf = (draft: Draft, task: Task): number =>
  isFork(draft)
    ? seamPrice(draft.cut, draft.leaf.body, task) +
      seamsOf(draft.below, task) +
      seamsOf(draft.above, task)
    : 0;
