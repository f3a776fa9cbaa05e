import { checkCancelled } from '../context.ts';
import type { Envelope } from '../envelope/index.ts';
import { length, sub, type Vec3 } from '../math/index.ts';
import { boundsOf, sizeOf, type Mesh } from '../mesh/index.ts';
import { givenDraft } from './given.ts';
import { cutsOf, isFork, leavesOf, makeLeaf, replaceLeaf, type Cut, type Draft, type Leaf } from './leaf.ts'; // prettier-ignore
import { measureTree, type PlaneTree } from './measure.ts';
import { costForBoth, differ, planOf } from './plan.ts';
import { polishDraft } from './polish.ts';
import { prepareSplit, type Prepared, type SplitOptions } from './prepare.ts';
import { reflected, reflectPlane, usualWay } from './reflect.ts';
import { MOST_PIECES, searchDrafts, type State } from './search.ts';
import { seedDrafts } from './seeds.ts';
import { settled } from './settle.ts';
import { inverse, mirroredTree, mirrorOf, type Mirror } from './twin.ts';
import type { CutPlane, Split, SplitPlan, SplitTree } from './types.ts';

/** Plans given where no number is asked for. */
const PLANS = 3;
/** Complete drafts that get their full cost on the coarser part. */
const LOOKED_AT = 24;
/** The best of them that get the last touches, for each plan that is wanted. */
const POLISHED = 3;
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
  const own = proposed(prepared, options);
  const mirror = asksTwin(own, options) ? mirrorOf(options.twin, mesh) : null;
  if (!mirror || !options.twin) return own;
  if (options.seamFrom && reflected(options.seamFrom, mirror.signs).some((x, i) => x !== options.seamFrom?.[i])) return own; // prettier-ignore
  const twin = prepareSplit(options.twin, envelopes, options);
  return together([prepared, own], [twin, proposed(twin, options)], mirror, options);
}

/** What is said of places and directions of one part says nothing of the other's. */
const asksTwin = (own: Split, o: SplitOptions): o is SplitOptions & { readonly twin: Mesh } =>
  o.twin !== undefined && !o.planes && !o.keep && !o.directions && own.plans.some((plan) => plan.cuts.length > 0); // prettier-ignore

type Searched = readonly [Prepared, Split];

/**
 * The plans that are best for both of two mirror images, carried out and certified on the first.
 * Asked the other way round the same ones come out: both sides are searched, and costs are added.
 * @param mirror brings the second to the first
 */
function together([here, own]: Searched, [there, other]: Searched, mirror: Mirror, options: SplitOptions): Split {
  const on = ({ part, judge, partTask }: Prepared, tree: PlaneTree): SplitPlan =>
    planOf(own.part, measureTree(tree, part, partTask), part, judge, partTask);
  const size = Math.hypot(...sizeOf(boundsOf(here.part.mesh.positions)));
  const pairs = [
    ...own.plans.map((plan) => [plan, on(there, mirroredTree(treeIn(plan), inverse(mirror)))] as const),
    ...other.plans.map((plan) => [on(here, mirroredTree(treeIn(plan), mirror)), plan] as const),
  ]
    .filter(([a, b]) => a.complete && b.complete && a.pieces.length === b.pieces.length)
    .map(([plan, its]) => ({ ...plan, twinCostMm: its.cost.total }))
    .sort((a, b) => a.pieces.length - b.pieces.length || costForBoth(a) - costForBoth(b));
  const plans = pairs.reduce<SplitPlan[]>(
    (kept, plan) => (kept.every((k) => differ(k.planes, plan.planes, size)) ? [...kept, plan] : kept),
    [],
  );
  const remark = 'Planned together with its mirror image on the other side: the plans that are best for both.';
  if (plans.length === 0) return own;
  return { ...own, plans: plans.slice(0, options.alternatives ?? PLANS), remarks: [...own.remarks, remark] };
} // prettier-ignore

/** A plan's tree of planes. */
function treeIn({ planes, tree }: SplitPlan): PlaneTree {
  const byId = new Map(planes.map((plane) => [plane.id, plane]));
  const walk = (node: SplitTree): PlaneTree => {
    if ('piece' in node) return null;
    const { normal, offsetMm, origin } = byId.get(node.plane) as CutPlane;
    return { cut: { normal, offsetMm, origin }, below: walk(node.below), above: walk(node.above) };
  };
  return walk(tree);
}

function proposed(prepared: Prepared, options: SplitOptions): Split {
  const { part, thin, task, partTask, signs, bound } = prepared;
  const name = options.part ?? 'part';
  const root = makeLeaf(thin.body, [], task);
  const result = (plans: readonly SplitPlan[], remarks: readonly string[] = []): Split => ({
    part: name,
    plans,
    lowerBound: bound,
    closed: part.closed,
    remarks: [...prepared.remarks, ...remarks],
  });
  const finish = (draft: Draft): SplitPlan =>
    planOf(name, measureTree(ownTree(draft, signs), part, partTask), part, prepared.judge, partTask);

  if (options.planes && options.planes.length > 0) {
    const given = givenDraft(root, options.planes.map((p) => reflectPlane(p, signs)), task);
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
  const many = plans[0]?.pieces.length ?? root.count;
  if (plans.length === 0)
    return result(plans, [`No plan with at most ${MOST_PIECES} pieces was found; by boxes it would take about ${many}.`]);
  return result(
    plans,
    many > MOST_PIECES
      ? [`${many} pieces: the part is that much larger than the machine (${bound.count} at least: ${bound.because}). Take a larger machine, a smaller scale, or a hollow part.`]
      : [],
  );
} // prettier-ignore

/** Searches, measures the best drafts on the part, and keeps those that really differ. */
function plansFrom(
  starts: readonly Draft[],
  prepared: Prepared,
  finish: (draft: Draft) => SplitPlan,
  options: SplitOptions,
  known: readonly SplitPlan[],
): SplitPlan[] {
  const { part, task, signs } = prepared;
  const wanted = options.alternatives ?? PLANS;
  const box = boundsOf(part.mesh.positions);
  const size = length(sub(box.max, box.min));
  const plans: SplitPlan[] = [...known];
  const complete = (): number => plans.filter((p) => p.complete).length;
  let from = starts;
  for (let round = 0; round <= RETURNS; round++) {
    const failed: Draft[] = [];
    for (const { draft, rough } of cheapest(
      searchDrafts(from, task),
      prepared,
      POLISHED * wanted,
    )) {
      checkCancelled(options.signal && { signal: options.signal });
      if (complete() >= wanted) break;
      if (plans.some((p) => p.complete && !differ(p.planes, ownCuts(draft, signs), size))) continue;
      const plan = finish(draft);
      if (!plan.complete && rough) {
        // The last touches went a hair too far: as it was before them, then.
        const before = finish(rough);
        plans.push(before);
        if (!before.complete) failed.push(failedDraft(rough, before, signs));
        continue;
      }
      plans.push(plan);
      if (!plan.complete) failed.push(failedDraft(draft, plan, signs));
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

interface Finalist {
  readonly draft: Draft;
  /** What it was before the last touches; null where they changed nothing. */
  readonly rough: Draft | null;
}

/** The best drafts by their full cost, taken on the coarser part; the first of them polished. */
function cheapest(states: readonly State[], prepared: Prepared, polished: number): Finalist[] {
  const { thin, task } = prepared;
  const known = new Map<Draft, number>();
  const cost = (draft: Draft): number => {
    const costMm = known.get(draft) ?? measureTree(treeOf(draft), thin, task).cost.total;
    known.set(draft, costMm);
    return costMm;
  };
  const lastTouches = (draft: Draft): Finalist => {
    checkCancelled(task.signal && { signal: task.signal });
    const touched = polishDraft(draft, { ...prepared, cost });
    return touched === draft ? { draft, rough: null } : { draft: touched, rough: draft };
  };
  const ranked = (finalists: readonly Finalist[]): Finalist[] =>
    finalists
      .map((f) => ({ f, count: leavesOf(f.draft).length, cost: cost(f.draft) }))
      .sort((a, b) => a.count - b.count || a.cost - b.cost)
      .map(({ f }) => f);
  const rough = ranked(states.slice(0, LOOKED_AT).map(({ draft }) => ({ draft, rough: null })));
  const touched = ranked(
    rough.map((finalist, i) => (i < polished ? lastTouches(finalist.draft) : finalist)),
  );
  const [best] = touched;
  const finds = best ? settled(best.draft, task) : [];
  const anew = finds.map((find) => ({ ...lastTouches(find), rough: best?.draft ?? null }));
  return anew.length > 0 ? ranked([...anew, ...touched]) : touched;
}

const treeOf = (draft: Draft): PlaneTree =>
  isFork(draft) ? { cut: draft.cut, below: treeOf(draft.below), above: treeOf(draft.above) } : null;

/** A cut back in the part's own coordinates. */
const own = (cut: Cut, signs: Vec3): ReturnType<typeof usualWay> =>
  usualWay(reflectPlane(cut, signs));

const ownCuts = (draft: Draft, signs: Vec3): Cut[] => cutsOf(draft).map((c) => own(c, signs).cut);

/** The tree in the part's own coordinates, normals pointing the usual way. */
function ownTree(draft: Draft, signs: Vec3): PlaneTree {
  if (!isFork(draft)) return null;
  const below = ownTree(draft.below, signs);
  const above = ownTree(draft.above, signs);
  const { cut, turned } = own(draft.cut, signs);
  return turned ? { cut, below: above, above: below } : { cut, below, above };
}

/** The leaves in the order in which a plan numbers its pieces. */
function ownLeaves(draft: Draft, signs: Vec3): Leaf[] {
  if (!isFork(draft)) return [draft];
  const sides = own(draft.cut, signs).turned
    ? [draft.above, draft.below]
    : [draft.below, draft.above];
  return sides.flatMap((side) => ownLeaves(side, signs));
}

/** The draft with the pieces that failed marked as needing another cut. */
function failedDraft(draft: Draft, plan: SplitPlan, signs: Vec3): Draft {
  const leaves = ownLeaves(draft, signs);
  if (leaves.length !== plan.pieces.length) return draft;
  return leaves.reduce<Draft>(
    (d, leaf, i) =>
      plan.pieces[i]?.fit.fits === true ? d : replaceLeaf(d, leaf, { ...leaf, count: 2 }),
    draft,
  );
}
