import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { decideFit } from '../../src/fit/index.ts';
import { dot } from '../../src/math/index.ts';
import { boxMesh, scaleMesh, torusMesh, type Mesh } from '../../src/mesh/index.ts';
import { readParts } from '../../src/read/index.ts';
import { skinPoints } from '../../src/split/body.ts';
import { crossesZone, type KeepZone } from '../../src/split/keep.ts';
import { cutsOf, isFork, leavesOf, type Draft, type Task } from '../../src/split/leaf.ts';
import type { SplitOptions } from '../../src/split/prepare.ts';
import { proposeSplit } from '../../src/split/propose.ts';
import { draftCost } from '../../src/split/redo.ts';
import { settled } from '../../src/split/settle.ts';
import { splitSettingsSchema, splitWeightsSchema } from '../../src/split/settings.ts';
import type { SplitPlan } from '../../src/split/types.ts';
import { CUBE, slabs as slabsOf } from './slabs.ts';

const SEAM_ALONE = Object.fromEntries(
  Object.keys(splitWeightsSchema.shape).map((term) => [term, term === 'seam' ? 1 : 0]),
);

/** A square pole along X, `thick` mm wide at 0 and `thin` at its length. */
function pole(length: number, thick: number, thin: number): Mesh {
  const { positions, triangles } = boxMesh([1, 1, 1]);
  const moved = positions.slice();
  for (let i = 0; i < moved.length; i += 3) {
    const x = positions[i] as number;
    const wide = thick + (thin - thick) * x;
    moved[i] = length * x;
    moved[i + 1] = ((positions[i + 1] as number) - 0.5) * wide;
    moved[i + 2] = ((positions[i + 2] as number) - 0.5) * wide;
  }
  return { positions: moved, triangles };
}

interface Slabs {
  readonly draft: Draft;
  readonly task: Task;
  readonly cost: (draft: Draft) => number;
}

function slabs(mesh: Mesh, at: readonly number[], options: SplitOptions = {}): Slabs {
  const settings = splitSettingsSchema.parse({ weights: SEAM_ALONE });
  const { draft, task } = slabsOf(mesh, at, { settings, ...options });
  return { draft, task, cost: (d) => draftCost(d, task) };
}

const cheapest = ({ draft, task, cost }: Slabs): Draft | undefined =>
  settled(draft, task).sort((a, b) => cost(a) - cost(b))[0];

const POLE = { length: 1000, thick: 90, thin: 30 };
const wideAt = (x: number): number => POLE.thick + ((POLE.thin - POLE.thick) * x) / POLE.length;

describe('planes moved about together for shorter seams', () => {
  const mesh = pole(POLE.length, POLE.thick, POLE.thin);

  it('bring the cuts of a tapered pole to its thin end, as far as pieces fit', () => {
    // Second route: straight cuts, each as far along as the certificate allows, by bisection. The
    // seam of a square cut at x is 4 x the width there, so no other straight cuts are shorter.
    const fits = (from: number, to: number): boolean => {
      const ends = [from, to].flatMap((x) =>
        [-1, 1].flatMap((y) => [-1, 1].map((z) => [x, (y * wideAt(x)) / 2, (z * wideAt(x)) / 2])),
      );
      return decideFit(Float64Array.from(ends.flat()), CUBE, { maxCells: 4000 }).fits === true;
    };
    const furthest = (from: number): number => {
      let [low, high] = [from + 1, Math.min(POLE.length, from + 520)];
      while (high - low > 0.05) {
        const middle = (low + high) / 2;
        if (fits(from, middle)) low = middle;
        else high = middle;
      }
      return low;
    };
    const first = furthest(0);
    const second = furthest(first);
    expect(fits(second, POLE.length)).toBe(true);
    const bruteMm = 4 * (wideAt(first) + wideAt(second));

    const { draft, task, cost } = slabs(mesh, [310, 620]);
    const found = cheapest({ draft, task, cost });
    if (!found) throw new Error('nothing found');
    const leaves = leavesOf(found);
    expect(leaves).toHaveLength(3);
    for (const leaf of leaves)
      expect(task.judge.certify(skinPoints(leaf.body), 4000).fits).toBe(true);
    expect(cost(draft)).toBeGreaterThan(1.03 * bruteMm);
    expect(cost(found)).toBeLessThan(1.01 * bruteMm);
  });

  it('keep to allowed directions and out of zones, and leave given cuts', () => {
    const straight = slabs(mesh, [310, 620], { directions: [[1, 0, 0]] });
    const only = cheapest(straight);
    expect(only && straight.cost(only)).toBeLessThan(straight.cost(straight.draft));
    for (const { normal } of only ? cutsOf(only) : [])
      expect(Math.abs(dot(normal, [1, 0, 0]))).toBeCloseTo(1, 12);

    const zone: KeepZone = { shape: 'box', minMm: [325, -50, -50], maxMm: [400, 50, 50] };
    const beside = slabs(mesh, [310, 620], { keep: [zone] });
    const clear = cheapest(beside);
    expect(clear && leavesOf(clear)).toHaveLength(3);
    for (const cut of clear ? cutsOf(clear) : [])
      expect(beside.task.keep.some((zone) => crossesZone(zone, cut))).toBe(false);

    const { draft, task, cost } = slabs(mesh, [310, 620]);
    if (!isFork(draft)) throw new Error('no cut');
    const given = { ...draft, cut: { ...draft.cut, origin: 'given' } };
    const kept = cheapest({ draft: given, task, cost });
    expect(kept && cutsOf(kept)[0]).toEqual(given.cut);
    expect(kept && cost(kept)).toBeLessThan(cost(draft));
  });

  it('are left alone when told so, and where there is one cut or all are given', () => {
    const { draft, task } = slabs(mesh, [310, 620]);
    const settings = splitSettingsSchema.parse({ settleMoves: 0 });
    expect(settled(draft, { ...task, settings })).toEqual([]);
    const short = slabs(pole(600, 60, 30), [300]);
    expect(settled(short.draft, short.task)).toEqual([]);
    const fixed = (d: Draft): Draft =>
      isFork(d)
        ? { ...d, cut: { ...d.cut, origin: 'given' }, below: fixed(d.below), above: fixed(d.above) }
        : d;
    expect(settled(fixed(draft), task)).toEqual([]);
  });
});

describe('plans with and without it', () => {
  const machine = boxEnvelope(220, 220, 250);
  const best = (mesh: Mesh, settings: object): SplitPlan => {
    // Fewer pieces are not looked for: that takes longer.
    const own = splitSettingsSchema.parse({ fewerMoves: 0, ...settings });
    const options = { alternatives: 1, settings: own };
    const [plan] = proposeSplit(mesh, [machine], options).plans;
    if (!plan?.complete) throw new Error('no complete plan');
    return plan;
  };
  const seamMm = (plan: SplitPlan): number =>
    plan.cuts.reduce((sum, c) => sum + c.seam.lengthMm, 0);

  it('cost a tenth less where pieces only just fit', () => {
    const path = '../../../../fixtures/lamplighter/shoulder-ring-left.stl';
    const data = readFileSync(new URL(path, import.meta.url));
    const mesh = scaleMesh(readParts(data, { name: 'ring' })[0]?.mesh as Mesh, 2);
    const [without, plan] = [best(mesh, { settleMoves: 0 }), best(mesh, {})];
    expect(plan.pieces).toHaveLength(without.pieces.length);
    expect(plan.cost.total).toBeLessThan(0.92 * without.cost.total);
  });

  // Closed form: n arcs of a ring take n cuts through its tube, none shorter than round the tube;
  // the tube has 32 sides here, and its facets lie inside by up to cos(180 / 32 degrees).
  it('are hardly longer than once round the tube for every arc of a ring', () => {
    const [r, sides] = [10, 32];
    const round = 2 * sides * r * Math.sin(Math.PI / sides);
    const plan = best(torusMesh(260, r, 96, sides), { weights: SEAM_ALONE });
    expect(seamMm(plan)).toBeGreaterThan(plan.pieces.length * round * Math.cos(Math.PI / sides));
    expect(seamMm(plan)).toBeLessThan(1.01 * plan.pieces.length * round);
  });
});
