import { dot, type Vec3 } from '../math/index.ts';
import { checkCancelled } from '../context.ts';
import { knownEnds, possible, settle, type Ends } from './ends.ts';
import { cutLeaf, type Cut, type Leaf, type Task } from './leaf.ts';
import { hiddenRelief, sweepCosts } from './sweep-cost.ts';
import { segmentsOf } from './segments.ts';
import { readySweep, sweepBody, type Sweep } from './sweep.ts';

/** One way to cut a leaf. */
export interface Option {
  readonly cut: Cut;
  /** Pieces it leads to, as far as known. */
  readonly count: number;
  readonly costMm: number;
  readonly below: Leaf;
  readonly above: Leaf;
}

/** Leaves that need more pieces are too big for their ends to matter. */
const MOST_DECIDED = 16;

interface Guess {
  readonly cut: Cut;
  readonly count: number;
  readonly costMm: number;
  /** Where in the leaf's extent along its normal, 0 to 1. */
  readonly share: number;
}

/** One direction, swept. */
interface Scan {
  readonly sweep: Sweep;
  readonly origin: string;
  /** Cost of a cut at every offset, mm of seam. */
  readonly costs: Float64Array;
  /** Pieces of either side at every offset, by boxes, then by what is found out. */
  readonly below: Float64Array;
  readonly above: Float64Array;
  readonly ends: Ends;
}

/** Options kept per leaf, and looked at per direction. */
const KEPT = 12;
const PER_DIRECTION = 3;
/** Fits of one side decided per leaf, at most, for the whole part and for pieces of it. */
const DECISIONS = { part: 60, piece: 14 };

/**
 * The best cuts of a leaf: every candidate direction is swept once, offsets are ranked by the
 * pieces they lead to, then by cost; the best few, spread over directions, are carried out.
 *
 * Boxes only promise too little. Sides grow with the offset, so a few decisions tell up to where a
 * side really fits: first in the directions where a cheap cut into two might be had; where two
 * pieces cannot do, in all of them, for the largest ends that can be cut off.
 */
export function cutOptions(leaf: Leaf, task: Task): Option[] {
  const scans = scansOf(leaf, task);
  const whole = leaf.within.length === 0;
  let budget = whole ? DECISIONS.part : DECISIONS.piece;
  const decide = (scan: Scan): void => {
    budget -= settle(leaf.body, scan.sweep, scan.ends, task, budget, whole);
    for (let k = 0; k <= scan.ends.lowTo; k++) scan.below[k] = 1;
    for (let k = scan.ends.highFrom; k < scan.above.length; k++) scan.above[k] = 1;
  };
  const hopes = scans
    .map((scan) => ({ scan, costMm: cheapest(scan, (k) => possible(scan.ends, k)) }))
    .filter(({ costMm }) => costMm < Infinity)
    .sort((a, b) => a.costMm - b.costMm);
  for (const { scan, costMm } of hopes) {
    const found = scans.map((s) => cheapest(s, (k) => countAt(s, k) === 2)).sort((a, b) => a - b);
    if (budget <= 0 || costMm >= (found[ENOUGH - 1] ?? Infinity)) break;
    decide(scan);
  }
  const halves = scans.some((s) => cheapest(s, (k) => countAt(s, k) === 2) < Infinity);
  if (!halves && leaf.count <= MOST_DECIDED) {
    const long = [...scans].sort((a, b) => span(b) - span(a));
    for (const scan of long) if (budget > 0) decide(scan);
  }
  const guesses = scans
    .flatMap((scan) => picks(scan, !halves))
    .map((g) => ({ ...g, costMm: g.costMm - relief(leaf, g.cut, task) }));
  guesses.sort((a, b) => a.count - b.count || a.costMm - b.costMm);
  const least = guesses[0]?.count ?? Infinity;
  const options: Option[] = [];
  const carryOut = (guess: Guess): Option | null => {
    const sides = cutLeaf(leaf, guess.cut, task);
    return sides && { ...guess, ...sides, count: sides.below.count + sides.above.count };
  };
  for (const guess of variedFirst(guesses.filter((g) => g.count <= least + 1))) {
    if (options.length >= KEPT) break;
    const option = carryOut(guess);
    if (option) options.push(option);
  }
  // Boxes judge roughly: where they ask for three pieces or more, see if the middle leaves two.
  if (least > 2)
    for (const scan of scans) {
      const k = middle(scan);
      const option = k < 0 ? null : carryOut(guessAt(scan, k));
      if (option && option.count < least) options.push(option);
    }
  return options.sort((a, b) => a.count - b.count || a.costMm - b.costMm).slice(0, KEPT);
}

/** Two-piece cuts known to be cheaper after which dearer directions are not looked into. */
const ENOUGH = 3;

function scansOf(leaf: Leaf, task: Task): Scan[] {
  const steps = leaf.within.length === 0 ? task.settings.offsets : 59;
  const axes: readonly Vec3[] = task.candidates.frames.flat();
  const swept = readySweep(leaf.body, axes, task.seenFrom);
  return task.candidates.directions.map(({ normal, origin }): Scan => {
    checkCancelled(task.signal && { signal: task.signal });
    const sweep = sweepBody(swept, normal, steps);
    const costs = sweepCosts(sweep, leaf, task);
    const below = boxCounts(sweep.belowMm, steps, task);
    const above = boxCounts(sweep.aboveMm, steps, task);
    return { sweep, origin, costs, below, above, ends: knownEnds(sweep, below, above, task) };
  });
}

const countAt = (s: Scan, k: number): number => (s.below[k] as number) + (s.above[k] as number);
const span = (s: Scan): number => s.sweep.highMm - s.sweep.lowMm;

function cheapest(scan: Scan, when: (k: number) => boolean): number {
  let least = Infinity;
  for (let k = 0; k < scan.costs.length; k++)
    if ((scan.costs[k] as number) < least && when(k)) least = scan.costs[k] as number;
  return least;
}

/** Cost of one cut of a leaf, from the nearest of evenly spaced offsets, mm of seam. */
export function cutCost(leaf: Leaf, cut: Cut, task: Task): number {
  const steps = 59;
  const sweep = sweepBody(readySweep(leaf.body, [], task.seenFrom), cut.normal, steps);
  const pitch = (sweep.highMm - sweep.lowMm) / (steps + 1);
  const k = Math.round((cut.offsetMm - sweep.lowMm) / pitch) - 1;
  const cost = sweepCosts(sweep, leaf, task)[Math.max(0, Math.min(steps - 1, k))] as number;
  return cost - relief(leaf, cut, task);
}

const relief = (leaf: Leaf, cut: Cut, task: Task): number =>
  hiddenRelief(segmentsOf(leaf.body, cut, task.seenFrom), task);

const guessAt = (scan: Scan, k: number): Guess => ({
  cut: { normal: scan.sweep.normal, offsetMm: scan.sweep.offsetsMm[k] as number, origin: scan.origin },
  count: countAt(scan, k),
  costMm: scan.costs[k] as number,
  share: (k + 1) / (scan.costs.length + 1),
}); // prettier-ignore

/**
 * The guesses in their order, but those much like an earlier one last: a part that is long and even
 * offers any number of cheap first cuts side by side, and they would leave no room for others.
 */
function variedFirst(guesses: readonly Guess[]): Guess[] {
  const varied: Guess[] = [];
  const alike: Guess[] = [];
  for (const guess of guesses) (varied.some((v) => akin(v, guess)) ? alike : varied).push(guess);
  return [...varied, ...alike];
}

const AKIN = { deg: 20, share: 0.15 };

function akin(a: Guess, b: Guess): boolean {
  const c = dot(a.cut.normal, b.cut.normal);
  if (a.count !== b.count || Math.abs(c) < Math.cos((AKIN.deg * Math.PI) / 180)) return false;
  return Math.abs(a.share - (c < 0 ? 1 - b.share : b.share)) < AKIN.share;
}

/**
 * The cheapest offsets with the fewest pieces in one direction, some way apart.
 * @param ends also the largest ends that can be cut off: they leave the least to be cut on
 */
function picks(scan: Scan, ends: boolean): Guess[] {
  const { costs } = scan;
  const order = [...costs.keys()]
    .filter((k) => (costs[k] as number) < Infinity && countAt(scan, k) < Infinity)
    .sort((i, j) => countAt(scan, i) - countAt(scan, j) || (costs[i] as number) - (costs[j] as number)); // prettier-ignore
  const picked: number[] = [];
  const apart = Math.max(2, costs.length / 12);
  for (const k of order) {
    if (picked.length >= PER_DIRECTION) break;
    if (picked.every((other) => Math.abs(other - k) >= apart)) picked.push(k);
  }
  if (ends)
    for (const k of [scan.ends.lowTo, scan.ends.highFrom])
      if ((costs[k] ?? Infinity) < Infinity && !picked.includes(k)) picked.push(k);
  return picked.map((k) => guessAt(scan, k));
}

/** The offset at which the larger of both sides is smallest, allowed ones only; -1 for none. */
function middle({ sweep, costs }: Scan): number {
  const axes = sweep.belowMm.length / costs.length;
  let best = -1;
  let least = Infinity;
  for (let k = 0; k < costs.length; k++) {
    if (costs[k] === Infinity) continue;
    let below = 0;
    let above = 0;
    for (let i = k * axes; i < (k + 1) * axes; i++) {
      below += (sweep.belowMm[i] as number) ** 2;
      above += (sweep.aboveMm[i] as number) ** 2;
    }
    if (Math.max(below, above) < least) [least, best] = [Math.max(below, above), k];
  }
  return best;
}

/** Pieces of one side at every offset, by the boxes of the frames. */
function boxCounts(widths: Float64Array, steps: number, task: Task): Float64Array {
  const axes = 3 * task.candidates.frames.length;
  return Float64Array.from({ length: steps }, (_, k) => {
    let best = Infinity;
    for (let i = k * axes; i < (k + 1) * axes; i += 3) {
      const size: Vec3 = [widths[i] as number, widths[i + 1] as number, widths[i + 2] as number];
      best = Math.min(best, task.judge.reach.count(size).count);
      if (best === 1) break;
    }
    return best;
  });
}
