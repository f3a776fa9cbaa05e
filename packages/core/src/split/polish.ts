import { dot, type Vec3 } from '../math/index.ts';
import type { Mesh } from '../mesh/index.ts';
import { crossesZone } from './keep.ts';
import { isFork, leavesOf, type Cut, type Draft, type Fork, type Task } from './leaf.ts';
import { sectionFigures } from './mass.ts';
import { lowestWithin } from './lowest.ts';
import { isPlain } from './plain.ts';
import { extentAlong, priceOf, refineDraft, withCut } from './refine.ts';

/** What the last touches need to know. */
export interface Polish {
  readonly task: Task;
  /** The part itself, reflected as the search sees it. */
  readonly form: Mesh;
  readonly signs: Vec3;
  /** Full cost of a draft, mm of seam. */
  readonly cost: (draft: Draft) => number;
}

/** Directions this near to a plain one are tried on it. */
const NEAR_DEG = 15;
/** Plans of more pieces are left as they are: every move would have to be carried out in all. */
const MOST_POLISHED = 16;

/** How much more a cut may cost for a plain direction and for a whole height, as a share. */
const WORSE = { plain: 0.02, whole: 0.004 };

/**
 * The last touches on a complete draft: cuts moved to where they are cheapest, planes hardly off a
 * plain direction set on it, heights over the piece's lowest point made whole numbers. Each only
 * where all pieces still fit and the plan does not cost notably more.
 */
export function polishDraft(draft: Draft, given: Polish): Draft {
  if (leavesOf(draft).length > MOST_POLISHED) return draft;
  const polish: Polish = { ...given, task: { ...given.task, effort: 'sure' } };
  const refined = refineDraft(draft, polish.task);
  const better = polish.cost(refined) < polish.cost(draft) ? refined : draft;
  const plain = everyCut(better, (fork) => plainer(fork, polish), WORSE.plain, polish.task);
  const round = everyCut(plain, (fork) => rounder(fork, polish), WORSE.whole, polish.task);
  // Cuts were priced one by one: the plan as a whole has the last word.
  const most = polish.cost(better) * (1 + WORSE.plain);
  return [round, plain].find((d) => d === better || polish.cost(d) <= most) ?? better;
}

/** Tries cuts in place of every fork's, parents first, and keeps the first that is good enough. */
function everyCut(draft: Draft, triesFor: (fork: Fork) => Cut[], worse: number, task: Task): Draft {
  if (!isFork(draft)) return draft;
  const tries = draft.cut.origin === 'given' ? [] : triesFor(draft);
  let here = draft;
  if (tries.length > 0) {
    const price = priceOf(draft, task);
    const most = price(draft.cut) * (1 + worse);
    for (const cut of tries) {
      if (task.keep.some((zone) => crossesZone(zone, cut)) || price(cut) > most) continue;
      const next = withCut(draft, cut, task);
      if (!next) continue;
      here = next;
      break;
    }
  }
  const below = everyCut(here.below, triesFor, worse, task);
  const above = everyCut(here.above, triesFor, worse, task);
  return below === here.below && above === here.above ? here : { ...here, below, above };
}

/** Plain planes near a fork's own, through the middle of its section and a little beside it. */
function plainer({ cut, leaf }: Fork, { task }: Polish): Cut[] {
  const { plain } = task.candidates;
  if (cut.origin === 'allowed' || isPlain(cut.normal, plain)) return [];
  const { middleMm } = sectionFigures(leaf.body, cut);
  if (!middleMm) return [];
  return plain
    .map((d) => ({ d, c: dot(d, cut.normal) }))
    .filter(({ c }) => Math.abs(c) > Math.cos((NEAR_DEG * Math.PI) / 180))
    .sort((a, b) => Math.abs(b.c) - Math.abs(a.c))
    .flatMap(({ d, c }) => {
      const normal = d.map((x) => (c < 0 ? 0 - x : x)) as unknown as Vec3;
      const step = 0.02 * extentAlong(leaf, normal);
      return [0, 1, -1, 2, -2].map((k): Cut => ({
        normal,
        offsetMm: dot(normal, middleMm) + k * step,
        origin: 'plain',
      }));
    });
}

/** Heights are rounded to these, mm, the first that will do. */
const STEPS_MM = [10, 5, 1];

/**
 * The same plane at a whole height over the lowest point of the piece, as it is set in a slicer.
 * Left and right may be mirror images, top and bottom hardly ever: sideways the height is taken
 * from the end that mirrored parts share.
 */
function rounder({ cut, leaf }: Fork, { form, signs }: Polish): Cut[] {
  const n = cut.normal;
  const upwards = Math.abs(n[2]) >= Math.max(Math.abs(n[0]), Math.abs(n[1]));
  const fromHigh = upwards && n[2] * signs[2] < 0;
  const ahead = fromHigh ? (n.map((x) => 0 - x) as unknown as Vec3) : n;
  const low = lowestWithin(form, ahead, leaf.within);
  const height = (fromHigh ? -cut.offsetMm : cut.offsetMm) - low;
  const most = 0.03 * extentAlong(leaf, n);
  return STEPS_MM.map((step) => Math.round(height / step) * step)
    .filter((h) => h > 0 && Math.abs(h - height) <= most)
    .map((h) => ({ ...cut, offsetMm: fromHigh ? -(low + h) : low + h }));
}
