import { checkCancelled, type Context } from '../context.ts';
import type { Envelope } from '../envelope/index.ts';
import type { Mesh } from '../mesh/index.ts';
import { DEFAULT_ORIENT_SETTINGS, rankOrientations, type OrientSettings } from '../orient/index.ts';
import { loadKernel, type Kernel } from '../solid/index.ts';
import { costForBoth, splitSettingsSchema, thinMesh, type Split, type SplitPlan, type SplitSettings } from '../split/index.ts'; // prettier-ignore
import { cutDirectly } from './direct.ts';
import { cutInKernel } from './pieces.ts';

export interface SupportRankOptions extends Context {
  readonly settings?: SplitSettings;
  /** How ways up are judged, per envelope in its order. Default: all defaults. */
  readonly orient?: readonly OrientSettings[];
}

/** Facets of the coarser copies that large pieces are turned as. */
const FACETS = 6000;
/** Up to so many facets the solid kernel's time can be afforded. */
const KERNEL_FACETS = 60_000;
/** Plans of more pieces are left as they are: each piece takes a twentieth of a second. */
const MOST_PIECES = 12;

/**
 * Plans in order once more, now that it is asked how much support their pieces will need: the pieces
 * are cut without holes, each (large ones as coarser copies) is turned to its best way up on its
 * machine, and the space under the overhangs that are left becomes one more term of the cost,
 * `supports`, cm3. An estimate. Plans with equally many pieces may change places. A plan whose
 * pieces can't be had so, or are too many, keeps its cost without the term.
 * @param mesh what was split, closed and oriented
 * @throws ScantlingError `CANCELLED`, `KERNEL_NOT_LOADED`
 */
export async function rankBySupports(
  split: Split,
  mesh: Mesh,
  envelopes: readonly Envelope[],
  options: SupportRankOptions = {},
): Promise<Split> {
  const { supports: weight } = (options.settings ?? splitSettingsSchema.parse({})).weights;
  const asked = split.plans.some((plan) => plan.cuts.length > 0 && plan.complete);
  if (!split.closed || weight === 0 || !asked) return split;
  const kernel = await loadKernel();
  const plans = split.plans.map((plan): SplitPlan => {
    if (plan.cuts.length === 0 || !plan.complete || plan.pieces.length > MOST_PIECES) return plan;
    const pieces = piecesOf(mesh, plan, kernel);
    if (!pieces) return plan;
    let mm3 = 0;
    for (const { id, fit } of plan.pieces) {
      checkCancelled(options);
      const at = Math.max(0, envelopes.findIndex((e) => e.name === fit.envelope)); // prettier-ignore
      const body = pieces.get(id);
      if (!body) return plan;
      const ranked = rankOrientations(thinMesh(body, FACETS), envelopes[at] as Envelope, {
        quick: true,
        settings: options.orient?.[at] ?? DEFAULT_ORIENT_SETTINGS,
        ...(options.signal && { signal: options.signal }),
      });
      mm3 += ranked.ways[0]?.supports.volumeMm3 ?? ranked.asModelledSupportsMm3;
    }
    const value = mm3 / 1000;
    const term = { name: 'supports', value, unit: 'cm3', weight, cost: value * weight };
    return { ...plan, cost: { total: plan.cost.total + term.cost, terms: [...plan.cost.terms, term] } }; // prettier-ignore
  });
  // A plan without the term is not better for that: only what can be compared changes places.
  const known = plans.every((p) => !p.complete || p.cost.terms.some((t) => t.name === 'supports'));
  const order = known
    ? [...plans].sort(
        (a, b) =>
          Number(b.complete) - Number(a.complete) ||
          a.pieces.length - b.pieces.length ||
          costForBoth(a) - costForBoth(b),
      )
    : plans;
  return { ...split, plans: order };
}

/** The pieces, bare; of a small part also those that no quick cut is sure of. */
function piecesOf(mesh: Mesh, plan: SplitPlan, kernel: Kernel): Map<string, Mesh> | null {
  const quick = cutDirectly(mesh, plan, [], false, kernel.flat);
  if (quick || mesh.triangles.length / 3 > KERNEL_FACETS) return quick;
  return cutInKernel(kernel, mesh, plan, [], false);
}
