import { describe, expect, it } from 'vitest';
import { rankBySupports } from '../../src/cut/index.ts';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { ballMesh, boxMesh, torusMesh, type Mesh } from '../../src/mesh/index.ts';
import {
  proposeSplit,
  splitSettingsSchema,
  type Split,
  type SplitPlan,
} from '../../src/split/index.ts';

const machine = boxEnvelope(400, 400, 400);
/** The seam and the supports alone count. */
const weighted = (supports: number) => {
  const { weights } = splitSettingsSchema.parse({});
  const none = Object.fromEntries(Object.keys(weights).map((name) => [name, 0]));
  return splitSettingsSchema.parse({ weights: { ...none, seam: 1, supports } });
};
const across = (mesh: Mesh, offsetMm: number): Split =>
  proposeSplit(mesh, [machine], {
    part: 'body',
    planes: [{ normal: [0, 0, 1], offsetMm }],
    settings: weighted(0.5),
  });
const supportsOf = (plan: SplitPlan | undefined): number | undefined =>
  plan?.cost.terms.find((t) => t.name === 'supports')?.value;

describe('rankBySupports', () => {
  // A ball of radius 50 cut at 40 mm: the large piece stands on its cut face, a disc of radius 30.
  // Above it the ball leans out by more than 45 degrees up to the radius 50 / sqrt 2. The space below:
  // 2 pi times the integral of r (40 - sqrt(2500 - r2)) from 30 to 35.36, which is 2.50 cm3.
  const ball = ballMesh(50, 4);
  const [lo, hi] = [900, 1250];
  const closedForm =
    (2 * Math.PI * (20 * (hi - lo) + ((2500 - hi) ** 1.5 - (2500 - lo) ** 1.5) / 3)) / 1000;

  it('is the space below a ball that stands on its cut, and nothing below two halves', async () => {
    expect(closedForm).toBeCloseTo(2.5, 2);
    const high = await rankBySupports(across(ball, 40), ball, [machine]);
    expect(Math.abs((supportsOf(high.plans[0]) as number) / closedForm - 1)).toBeLessThan(0.08);
    const middle = await rankBySupports(across(ball, 0), ball, [machine]);
    expect(supportsOf(middle.plans[0])).toBeLessThan(0.01);
  });

  it('lets plans change places by their weight, and adds to their cost', async () => {
    const [high, middle] = [across(ball, 40), across(ball, 0)];
    const both: Split = { ...high, plans: [...high.plans, ...middle.plans] };
    const first = async (weight: number): Promise<SplitPlan> =>
      (await rankBySupports(both, ball, [machine], { settings: weighted(weight) })).plans[0]!;
    // The seam at 40 mm is far shorter, so it costs less until supports weigh heavily.
    const [cheap, lean] = [await first(0.5), await first(1e4)];
    expect([cheap.planes[0]?.offsetMm, lean.planes[0]?.offsetMm]).toEqual([40, 0]);
    const before = high.plans[0]!.cost.total;
    expect(cheap.cost.total - before).toBeCloseTo(0.5 * (supportsOf(cheap) as number), 9);
    expect((await rankBySupports(both, ball, [machine], { settings: weighted(0) })).plans).toBe(both.plans); // prettier-ignore
  });

  it('leaves alone what has no cut, and judges large pieces by coarser copies', async () => {
    const box = boxMesh([10, 10, 10]);
    const whole = proposeSplit(box, [machine]);
    expect(await rankBySupports(whole, box, [machine])).toBe(whole);
    const fine = await rankBySupports(across(ballMesh(50, 6), 40), ballMesh(50, 6), [machine]);
    // Facets move in and out of the angle: off by less than 1 % of the ball's 524 cm3.
    expect(Math.abs((supportsOf(fine.plans[0]) as number) - closedForm)).toBeLessThan(5.2);
    const ring = torusMesh(120, 25, 96, 48);
    const lying = await rankBySupports(across(ring, 0), ring, [machine]);
    expect(supportsOf(lying.plans[0])).toBeLessThan(0.5);
  });
});
