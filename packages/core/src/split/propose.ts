import { checkCancelled } from '../context.ts';
import type { Envelope } from '../envelope/index.ts';
import { length, sub } from '../math/index.ts';
import { boundsOf, type Mesh } from '../mesh/index.ts';
import { leastPieces } from './bound.ts';
import { givenDraft } from './given.ts';
import { cutsOf, isFork, leavesOf, makeLeaf, replaceLeaf, type Draft, type Leaf, type Task } from './leaf.ts'; // prettier-ignore
import { measureTree, type Part, type PlaneTree } from './measure.ts';
import { differ, planOf } from './plan.ts';
import { prepareSplit, type Prepared, type SplitOptions } from './prepare.ts';
import { searchDrafts, type State } from './search.ts';
import { seedDrafts } from './seeds.ts';
import type { Split, SplitPlan } from './types.ts';

/** Complete drafts that get their full cost on the coarser part. */
const LOOKED_AT = 24;
/** Times a draft goes back to the search because a piece failed its certificate. */
const RETURNS = 4;

/**
 * Plans to split a part by planes so that every piece fits one of the envelopes: fewest pieces
 * first, then the least cost (`settings.weights`). The search runs on a coarser copy; planes are
 * then carried out on the part, every figure is taken from it, and every piece is certified.
 *
 * A part that fits comes back with one plan of no cuts, unless `pieces` asks for more. A mesh that
 * is not closed gets planes and certificates but no volumes or areas.
 *
 * @param mesh part coordinates, mm
 * @throws ScantlingError `EMPTY_MESH`, `NO_ENVELOPE`, `BAD_DIRECTION`, `CANCELLED`
 * @example proposeSplit(boxMesh([1000, 100, 100]), [boxEnvelope(300, 300, 300)]).plans[0].pieces.length // 3
 */
export function proposeSplit(
  mesh: Mesh,
  envelopes: readonly Envelope[],
  options: SplitOptions = {},
): Split {
  const prepared = prepareSplit(mesh, envelopes, options);
  const { part, thin, task } = prepared;
  const bound = leastPieces(part, prepared.judge.envelopes);
  const name = options.part ?? 'part';
  const root = makeLeaf(thin.body, [], task);
  const result = (plans: readonly SplitPlan[], remarks: readonly string[] = []): Split => ({
    part: name,
    plans,
    lowerBound: { ...bound, count: Math.max(bound.count, options.pieces ?? 1) },
    closed: part.closed,
    remarks: [...prepared.remarks, ...remarks],
  });
  const finish = (draft: Draft): SplitPlan =>
    planOf(name, measureTree(treeOf(draft), part, task), part, prepared.judge, task.settings.fitCells);

  if (options.planes && options.planes.length > 0) {
    const given = givenDraft(root, options.planes, task);
    const asked = finish(given.draft);
    if (!options.improve || asked.complete) return result([asked], given.remarks);
    return result(plansFrom([given.draft], prepared, finish, options, [asked]), given.remarks);
  }
  if (bound.count === 1 && task.wanted <= 1) {
    const whole = finish(root);
    if (whole.complete) return result([whole]);
  }
  const start = root.count === 1 && task.wanted <= 1 ? { ...root, count: 2 } : root;
  const plans = plansFrom([start, ...seedDrafts(start, task)], prepared, finish, options, []);
  return result(
    plans,
    plans.length > 0 ? [] : [`No plan with at most 64 pieces was found; by boxes it would take about ${root.count}.`],
  );
} // prettier-ignore

/** Searches, measures the best drafts on the part, and keeps those that really differ. */
function plansFrom(
  starts: readonly Draft[],
  { part, thin, task }: Prepared,
  finish: (draft: Draft) => SplitPlan,
  options: SplitOptions,
  known: readonly SplitPlan[],
): SplitPlan[] {
  const wanted = options.alternatives ?? 3;
  const box = boundsOf(part.mesh.positions);
  const size = length(sub(box.max, box.min));
  const plans: SplitPlan[] = [...known];
  const complete = (): number => plans.filter((p) => p.complete).length;
  let from = starts;
  for (let round = 0; round <= RETURNS; round++) {
    const failed: Draft[] = [];
    for (const draft of cheapest(searchDrafts(from, task), thin, task)) {
      checkCancelled(options.signal && { signal: options.signal });
      if (complete() >= wanted) break;
      if (plans.some((p) => p.complete && !differ(p.planes, cutsOf(draft), size))) continue;
      const plan = finish(draft);
      plans.push(plan);
      if (!plan.complete) failed.push(failedDraft(draft, plan));
    }
    if (complete() > 0 || failed.length === 0) break;
    from = failed;
  }
  return plans
    .sort(
      (a, b) =>
        Number(b.complete) - Number(a.complete) ||
        a.pieces.length - b.pieces.length ||
        a.cost.total - b.cost.total,
    )
    .slice(0, wanted);
}

/** The best drafts by their full cost, taken on the coarser part. */
function cheapest(states: readonly State[], thin: Part, task: Task): Draft[] {
  return states
    .slice(0, LOOKED_AT)
    .map(({ draft, count }) => ({
      draft,
      count,
      cost: measureTree(treeOf(draft), thin, task).cost.total,
    }))
    .sort((a, b) => a.count - b.count || a.cost - b.cost)
    .map(({ draft }) => draft);
}

const treeOf = (draft: Draft): PlaneTree =>
  isFork(draft) ? { cut: draft.cut, below: treeOf(draft.below), above: treeOf(draft.above) } : null;

/** The draft with the pieces that failed marked as needing another cut. */
function failedDraft(draft: Draft, plan: SplitPlan): Draft {
  const leaves = leavesOf(draft);
  if (leaves.length !== plan.pieces.length) return draft;
  return leaves.reduce<Draft>(
    (d, leaf: Leaf, i) =>
      plan.pieces[i]?.fit.fits === true ? d : replaceLeaf(d, leaf, { ...leaf, count: 2 }),
    draft,
  );
}
