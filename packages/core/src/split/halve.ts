import { add, frameOf, scale, unit, type Axes, type Vec3 } from '../math/index.ts';
import { sidePoints, skinPoints, type Body } from './body.ts';
import { extremePoints, sameLine, smallBox, spreadAxes } from './frames.ts';
import { crossesZone } from './keep.ts';
import { cutLeaf, sketchOf, type Cut, type Fork, type Leaf, type Task } from './leaf.ts';
import { sweepCosts } from './sweep-cost.ts';
import { readySweep, sweepBody } from './sweep.ts';

const STEPS = 29;
/** Directions from which the plane is turned on, no two nearer than this. */
const STARTS = 4;
const APART_DEG = 15;
/** First turn of the plane, and how often it is halved. */
const TURN = Math.PI / 15;
const HALVINGS = 3;
/** What a side too large by its whole size would cost, in multiples of the dearest cut wanted. */
const PENALTY = 6;
/** Sides by boxes up to this much too large may yet fit in a better rotation. */
const NEARLY = 1.12;
/** Planes that leave a side this much too large are not turned on. */
const HOPELESS = 1.35;
const TRIES = 8;

interface Look {
  readonly cut: Cut;
  readonly costMm: number;
  /** How many times too large the larger side is, by the rotations tried. */
  readonly excess: number;
  /** Cost and what is missing to a fit in one. */
  readonly score: number;
}

/**
 * The cheapest single cut after which both sides fit. The directions for which there is such a cut
 * at all are often few and lie close together: planes of every direction are judged by their cost
 * and by how much the sides are too large, and the best are turned on until they fit.
 * @param underMm dearer cuts are of no interest, mm of seam
 * @returns null when none was found
 */
export function halve(leaf: Leaf, task: Task, underMm: number): Fork | null {
  const body = sketchOf(leaf, task);
  if (!body || underMm <= 0) return null;
  const frames = framesOf(body, task);
  const lookBy = (by: readonly Axes[]): Lookout => lookout(body, leaf, by, task, underMm);
  const look = lookBy(frames);
  const { directions, net } = task.candidates;
  const looks = [...directions, ...net]
    .map((d) => look(d.normal, d.origin))
    .filter((l) => l !== null)
    .sort((a, b) => a.score - b.score);
  const starts: Look[] = [];
  for (const l of looks) {
    if (starts.length >= STARTS) break;
    if (l.excess > HOPELESS) continue;
    if (starts.every((s) => !sameLine(s.cut.normal, l.cut.normal, APART_DEG))) starts.push(l);
  }
  // Their sides' own best rotations tell better how much is missing.
  const turn = (): Look[] => {
    const own = starts
      .filter(({ excess }) => excess > 1)
      .flatMap(({ cut }) => [
        task.judge.closest(sidePoints(body, cut.normal, cut.offsetMm, 'below')),
        task.judge.closest(sidePoints(body, cut.normal, cut.offsetMm, 'above')),
      ]);
    const better = own.length > 0 ? lookBy([...frames, ...own]) : look;
    return starts.map((s) => turnOn(better(s.cut.normal, s.cut.origin) ?? s, better));
  };
  const turned = net.length > 0 ? turn() : starts;
  const tries = [...turned, ...looks.slice(0, TRIES)].sort((a, b) => a.score - b.score);
  for (const { cut, excess } of tries.slice(0, TRIES)) {
    if (excess > NEARLY || task.keep.some((zone) => crossesZone(zone, cut))) continue;
    const sides = cutLeaf(leaf, cut, task);
    if (sides?.below.count === 1 && sides.above.count === 1) return { cut, leaf, ...sides };
  }
  return null;
}

type Lookout = (normal: Vec3, origin: string) => Look | null;

/** Finds the best plane of a direction, sides measured in the given frames. */
function lookout(
  body: Body,
  leaf: Leaf,
  frames: readonly Axes[],
  task: Task,
  underMm: number,
): Lookout {
  const axes = frames.flat();
  const swept = readySweep(body, axes, task.seenFrom);
  return (normal, origin) => {
    const sweep = sweepBody(swept, normal, STEPS);
    let best: Look | null = null;
    sweepCosts(sweep, leaf, task).forEach((costMm, k) => {
      if (costMm >= underMm || (best && costMm >= best.score)) return;
      const excess = Math.max(
        excessOf(sweep.belowMm, k * axes.length, frames, task),
        excessOf(sweep.aboveMm, k * axes.length, frames, task),
      );
      const score = costMm + PENALTY * underMm * Math.max(0, excess - 1);
      if (best && score >= best.score) return;
      const cut = { normal, offsetMm: sweep.offsetsMm[k] as number, origin };
      best = { cut, costMm, excess, score };
    });
    return best;
  };
}

function turnOn(start: Look, look: Lookout): Look {
  let best = start;
  for (let k = 0, turn = TURN; k < HALVINGS;) {
    const { u, v } = frameOf(best.cut.normal);
    let next: Look | null = null;
    for (const side of [u, v, scale(u, -1), scale(v, -1)]) {
      const normal = unit(add(best.cut.normal, scale(side, Math.tan(turn))));
      const seen = normal && look(normal, 'refined');
      if (seen && seen.score < (next ?? best).score * (1 - 1e-3)) next = seen;
    }
    if (next) best = next;
    else {
      k++;
      turn /= 2;
    }
  }
  return best;
}

function framesOf(body: Body, task: Task): Axes[] {
  const points = extremePoints(skinPoints(body), 200);
  const spread = spreadAxes(points);
  return [...task.candidates.frames, spread, smallBox(points, spread), ...task.judge.frames()];
}

function excessOf(widths: Float64Array, at: number, frames: readonly Axes[], task: Task): number {
  let least = Infinity;
  for (let f = 0, i = at; f < frames.length && least > 1; f++, i += 3) {
    const tilted = f < task.candidates.frames.length + 2;
    const excess = task.judge.excess(widths[i] as number, widths[i + 1] as number, widths[i + 2] as number, tilted); // prettier-ignore
    if (excess < least) least = excess;
  }
  return least;
}
