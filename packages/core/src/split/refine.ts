import { add, dot, frameOf, length, scale, sub, unit, type Vec3 } from '../math/index.ts';
import { featuresCut } from './features.ts';
import { crossesZone } from './keep.ts';
import { cutLeaf, isFork, leavesOf, type Cut, type Draft, type Fork, type Leaf, type Task } from './leaf.ts'; // prettier-ignore
import { figuresOf, massOf, sectionArea, sectionFigures } from './mass.ts';
import { segmentsOf } from './segments.ts';
import { faceCost, hiddenRelief } from './sweep-cost.ts';

/**
 * Turns and shifts the cuts of a complete draft a little at a time while they get cheaper and every
 * piece still fits: parents first, by a pattern search that halves its steps. The sweeps know a few
 * directions only; the shortest seam round a neck lies between them.
 */
export function refineDraft(draft: Draft, task: Task): Draft {
  if (!isFork(draft)) return draft;
  const here = refineCut(draft, task);
  const below = refineDraft(here.below, task);
  const above = refineDraft(here.above, task);
  return below === here.below && above === here.above ? here : { ...here, below, above };
}

/** First and last steps: turns in radians, shifts as a share of the leaf's extent. */
const TURN = Math.PI / 15;
const SHIFT = 0.06;
const HALVINGS = 5;
/** Of a step's moves that are cheaper, so many are carried out to see if all pieces still fit. */
const TRIES = 4;

function refineCut(fork: Fork, task: Task): Fork {
  if (fork.cut.origin === 'given') return fork;
  const price = priceOf(fork, task);
  const extent = extentAlong(fork.leaf, fork.cut.normal);
  let best = fork;
  let cost = price(fork.cut);
  for (let k = 0, size = 1; k < HALVINGS;) {
    const tries = movesOf(best.cut, best.leaf, task, size * TURN, size * SHIFT * extent)
      .map((cut) => ({ cut, costMm: price(cut) }))
      .filter((t) => t.costMm < cost - 1e-3 * Math.abs(cost))
      .sort((a, b) => a.costMm - b.costMm);
    let moved = false;
    for (const { cut, costMm } of tries.slice(0, TRIES)) {
      const next = withCut(fork, cut, task);
      if (!next) continue;
      [best, cost, moved] = [next, costMm, true];
      break;
    }
    if (!moved) {
      k++;
      size /= 2;
    }
  }
  return best;
}

/** The plane turned about the middle of its section both ways about two axes, and shifted. */
function movesOf(cut: Cut, leaf: Leaf, task: Task, turn: number, shift: number): Cut[] {
  const shifted = [-shift, shift].map((by) => ({ ...cut, offsetMm: cut.offsetMm + by }));
  const middle = sectionFigures(leaf.body, cut).middleMm;
  // Directions the maker allowed are kept.
  if (!middle || cut.origin === 'allowed') return shifted;
  const { u, v } = frameOf(cut.normal);
  // Turned and shifted at once as well: along the edge of what fits, neither alone gets on.
  const turned = [u, v, scale(u, -1), scale(v, -1)].flatMap((side) =>
    [0, shift, -shift].map((by) => {
      const normal = unit(add(cut.normal, scale(side, Math.tan(turn)))) ?? cut.normal;
      return { normal, offsetMm: dot(normal, middle) + by, origin: 'refined' };
    }),
  );
  return [...shifted, ...turned].filter((c) => !task.keep.some((zone) => crossesZone(zone, c)));
}

/** Cost of planes near a fork's own, mm of seam; volumes are taken to first order. */
export function priceOf(fork: Fork, task: Task): (cut: Cut) => number {
  const { body } = fork.leaf;
  const least = task.settings.leastThicknessMm;
  const [below, above] = [fork.below, fork.above].map((side) => massOf(rootBody(side)));
  const whole = Math.max(1e-9, fork.leaf.volumeMm3);
  const start = sectionFigures(body, fork.cut);
  const lighter = (below?.volumeMm3 ?? 0) < (above?.volumeMm3 ?? 0) ? below : above;
  const arm = lighter && start.middleMm ? length(sub(lighter.centreMm, start.middleMm)) : 0;
  return (cut) => {
    const segments = segmentsOf(body, cut, task.seenFrom);
    const face = figuresOf(segments, body);
    const beside = [-least, least].map((d) => sectionArea(body, { ...cut, offsetMm: cut.offsetMm + d })); // prettier-ignore
    const shift = start.middleMm ? cut.offsetMm - dot(cut.normal, start.middleMm) : 0;
    const low = Math.min(whole, Math.max(0, (below?.volumeMm3 ?? 0) + shift * Math.max(0, face.areaMm2))); // prettier-ignore
    return (
      faceCost(
        {
          normal: cut.normal,
          offsetMm: cut.offsetMm,
          lengthMm: face.lengthMm,
          seenMm: face.seenMm,
          areaMm2: face.areaMm2,
          sliverMm2: beside.reduce((sum, a) => sum + Math.max(0, face.areaMm2 - Math.max(0, a)), 0),
          lighterMm3: Math.min(low, whole - low),
          armMm: arm,
          imbalance: Math.abs(1 - (2 * low) / whole),
        },
        task,
      ) -
      hiddenRelief(segments, task) +
      task.settings.weights.feature * featuresCut(task.features, cut)
    );
  };
}

const rootBody = (draft: Draft): Leaf['body'] => (isFork(draft) ? draft.leaf.body : draft.body);

/** The fork with another plane, all cuts below it made anew; null unless every piece fits. */
export function withCut(fork: Fork, cut: Cut, task: Task): Fork | null {
  const remade = remake({ ...fork, cut }, fork.leaf, task);
  return remade && isFork(remade) && leavesOf(remade).every((leaf) => leaf.count === 1)
    ? remade
    : null;
}

/** A draft's planes carried out on another leaf; null where one of them leaves a side empty. */
export function remake(draft: Draft, leaf: Leaf, task: Task): Draft | null {
  if (!isFork(draft)) return leaf;
  const sides = cutLeaf(leaf, draft.cut, task);
  if (!sides) return null;
  const below = remake(draft.below, sides.below, task);
  const above = below && remake(draft.above, sides.above, task);
  return below && above && { cut: draft.cut, leaf, below, above };
}

export function extentAlong({ body }: Leaf, n: Vec3): number {
  let low = Infinity;
  let high = -Infinity;
  for (let f = 0; f < body.skin.length; f++) {
    if (!body.skin[f]) continue;
    for (let c = 0; c < 3; c++) {
      const i = 3 * (body.triangles[3 * f + c] as number);
      const h = (body.positions[i] as number) * n[0] + (body.positions[i + 1] as number) * n[1] + (body.positions[i + 2] as number) * n[2]; // prettier-ignore
      if (h < low) low = h;
      if (h > high) high = h;
    }
  }
  return high > low ? high - low : 0;
}
