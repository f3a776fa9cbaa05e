import { dot, type Vec3 } from '../math/index.ts';
import { checkCancelled } from '../context.ts';
import { featureInterval } from './features.ts';
import { zoneInterval, zonesWithin } from './keep.ts';
import { cutLeaf, type Cut, type Leaf, type Task } from './leaf.ts';
import { sweepBody, type Sweep } from './sweep.ts';

/** One way to cut a leaf. */
export interface Option {
  readonly cut: Cut;
  /** Pieces it leads to, as far as known. */
  readonly count: number;
  readonly costMm: number;
  readonly below: Leaf;
  readonly above: Leaf;
}

interface Guess {
  readonly cut: Cut;
  readonly count: number;
  readonly costMm: number;
}

/** Options kept per leaf, and looked at per direction. */
const KEPT = 8;
const PER_DIRECTION = 3;

/**
 * The best cuts of a leaf: every candidate direction is swept once, offsets are ranked by the
 * pieces they lead to, then by cost; the best few, spread over directions, are carried out.
 */
export function cutOptions(leaf: Leaf, task: Task): Option[] {
  const steps = leaf.within.length === 0 ? task.settings.offsets : 59;
  const axes: readonly Vec3[] = task.candidates.frames.flat();
  const guesses: Guess[] = [];
  const middles: Guess[] = [];
  for (const { normal, origin } of task.candidates.directions) {
    checkCancelled(task.signal && { signal: task.signal });
    const sweep = sweepBody(leaf.body, normal, steps, axes, task.seenFrom);
    const costs = sweepCosts(sweep, leaf, task);
    const counts = sweepCounts(sweep, task);
    guesses.push(...pick(sweep, costs, counts, origin));
    const middle = balanced(sweep, costs, axes.length);
    if (middle >= 0) middles.push(guessAt(sweep, costs, counts, origin, middle));
  }
  guesses.sort((a, b) => a.count - b.count || a.costMm - b.costMm);
  const least = guesses[0]?.count ?? Infinity;
  const options: Option[] = [];
  const carryOut = (guess: Guess): Option | null => {
    const sides = cutLeaf(leaf, guess.cut, task);
    return sides && { ...guess, ...sides, count: sides.below.count + sides.above.count };
  };
  for (const guess of guesses) {
    if (options.length >= KEPT || guess.count > least + 1) break;
    const option = carryOut(guess);
    if (option) options.push(option);
  }
  // Boxes judge roughly: where they ask for three pieces or more, see if the middle leaves two.
  if (least > 2)
    for (const middle of middles) {
      const option = carryOut(middle);
      if (option && option.count < least) options.push(option);
    }
  return options.sort((a, b) => a.count - b.count || a.costMm - b.costMm).slice(0, KEPT);
}

/** Cost of one cut of a leaf, from the nearest of evenly spaced offsets, mm of seam. */
export function cutCost(leaf: Leaf, cut: Cut, task: Task): number {
  const steps = 59;
  const sweep = sweepBody(leaf.body, cut.normal, steps, [], task.seenFrom);
  const pitch = (sweep.highMm - sweep.lowMm) / (steps + 1);
  const k = Math.round((cut.offsetMm - sweep.lowMm) / pitch) - 1;
  return sweepCosts(sweep, leaf, task)[Math.max(0, Math.min(steps - 1, k))] as number;
}

const guessAt = (s: Sweep, costs: Float64Array, counts: Float64Array, origin: string, k: number): Guess => ({
  cut: { normal: s.normal, offsetMm: s.offsetsMm[k] as number, origin },
  count: counts[k] as number,
  costMm: costs[k] as number,
}); // prettier-ignore

/** The cheapest offsets with the fewest pieces in one direction, some way apart. */
function pick(s: Sweep, costs: Float64Array, counts: Float64Array, origin: string): Guess[] {
  const order = [...costs.keys()]
    .filter((k) => (costs[k] as number) < Infinity && (counts[k] as number) < Infinity)
    .sort((i, j) => (counts[i] as number) - (counts[j] as number) || (costs[i] as number) - (costs[j] as number)); // prettier-ignore
  const picked: number[] = [];
  const apart = Math.max(2, costs.length / 12);
  for (const k of order) {
    if (picked.length >= PER_DIRECTION) break;
    if (picked.every((other) => Math.abs(other - k) >= apart)) picked.push(k);
  }
  return picked.map((k) => guessAt(s, costs, counts, origin, k));
}

/** The offset at which the larger of both sides is smallest, allowed ones only; -1 for none. */
function balanced(s: Sweep, costs: Float64Array, axes: number): number {
  let best = -1;
  let least = Infinity;
  for (let k = 0; k < costs.length; k++) {
    if (costs[k] === Infinity) continue;
    let below = 0;
    let above = 0;
    for (let i = k * axes; i < (k + 1) * axes; i++) {
      below += (s.belowMm[i] as number) ** 2;
      above += (s.aboveMm[i] as number) ** 2;
    }
    if (Math.max(below, above) < least) [least, best] = [Math.max(below, above), k];
  }
  return best;
}

/** Pieces of both sides at every offset, by the boxes of the frames. */
function sweepCounts(s: Sweep, task: Task): Float64Array {
  const axes = 3 * task.candidates.frames.length;
  const side = (widths: Float64Array, k: number): number => {
    let best = Infinity;
    for (let i = k * axes; i < (k + 1) * axes; i += 3) {
      const size: Vec3 = [widths[i] as number, widths[i + 1] as number, widths[i + 2] as number];
      best = Math.min(best, task.judge.reach.count(size).count);
      if (best === 1) break;
    }
    return best;
  };
  return s.offsetsMm.map((_, k) => side(s.belowMm, k) + side(s.aboveMm, k));
}

/**
 * Cost of a cut at every offset, mm of seam; infinite where a keep zone forbids it. The same terms
 * as a plan's cost, as far as a sweep can tell: the section modulus is taken as area^2 / (2 x
 * outline), which a solid round section meets exactly.
 */
export function sweepCosts(s: Sweep, leaf: Leaf, task: Task): Float64Array {
  const w = task.settings.weights;
  const least = task.settings.leastThicknessMm;
  const n = s.offsetsMm.length;
  const pitch = (s.highMm - s.lowMm) / (n + 1);
  const area = (k: number): number => Math.max(0, s.areaMm2[k] ?? 0);
  const total = s.areaMm2.reduce((sum, a) => sum + Math.max(0, a), 0);
  const first = s.areaMm2.reduce((sum, a, k) => sum + Math.max(0, a) * k, 0);
  const blocked = zonesWithin(task.keep, leaf.within).map((z) => zoneInterval(z, s.normal));
  const rims = task.features.map((f) => featureInterval(f, s.normal));
  const share = Math.min(1, pitch > 0 ? least / pitch : 1);
  const costs = new Float64Array(n);
  let volume = 0;
  let moment = 0;
  for (let k = 0; k < n; k++) {
    const a = area(k);
    volume += a;
    moment += a * k;
    const t = s.offsetsMm[k] as number;
    if (blocked.some(([low, high]) => t > low && t < high)) {
      costs[k] = Infinity;
      continue;
    }
    const length = s.lengthMm[k] as number;
    let cost = w.seam * length + w.asymmetry * mirrorsBroken(s.normal, t, task);
    if (task.seenFrom) cost += w.seenSeam * (s.seenMm[k] as number);
    cost += w.feature * rims.filter(([low, high]) => t > low && t < high).length;
    const wall = length > 0 ? (2 * a) / length : 0;
    if (a > 0) {
      cost += w.thinWall * Math.max(0, least - wall);
      const beside = Math.max(0, a - area(k - 1)) + Math.max(0, a - area(k + 1));
      cost += w.sliver * share * beside;
      const lighter = Math.min(volume, total - volume) * pitch;
      const arm =
        volume * 2 < total
          ? k - moment / Math.max(volume, 1e-9)
          : (first - moment) / Math.max(total - volume, 1e-9) - k;
      const modulus = (a * a) / (2 * length);
      const stress = bendingStress(
        lighter,
        Math.max(0, arm * pitch),
        modulus,
        task.settings.densityGPerCm3,
      );
      cost += w.stress * Math.min(MOST_STRESS, stress);
      cost += w.imbalance * Math.abs(1 - (2 * volume) / total);
    }
    costs[k] = cost;
  }
  return costs;
}

/** Mirror planes that a cut breaks; one beside its plane may yet get a partner and counts half. */
function mirrorsBroken(normal: Vec3, offsetMm: number, task: Task): number {
  let broken = 0;
  for (const mirror of task.candidates.mirrors) {
    const c = dot(normal, mirror.normal);
    if (Math.abs(c) < 1e-6) continue;
    if (Math.abs(c) < 1 - 1e-9) broken++;
    else if (Math.abs(offsetMm - Math.sign(c) * mirror.offsetMm) > 1e-6 * (1 + Math.abs(offsetMm)))
      broken += 0.5;
  }
  return broken;
}

/** Beyond this a glue line gives way in any case, MPa: common practice, no source. */
export const MOST_STRESS = 5;

/**
 * Bending stress in a joint from which a body of that volume hangs out level, MPa: weight times
 * the distance of its centre from the joint, over the section modulus. g = 9.80665 m/s2.
 */
export function bendingStress(
  volumeMm3: number,
  armMm: number,
  modulusMm3: number,
  densityGPerCm3: number,
): number {
  const weightN = volumeMm3 * 1e-6 * densityGPerCm3 * 9.80665;
  return modulusMm3 > 0 ? (weightN * armMm) / modulusMm3 : 0;
}
