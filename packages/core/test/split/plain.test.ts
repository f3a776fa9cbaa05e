import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { boxEnvelope } from '../../src/envelope/index.ts';
import type { Vec3 } from '../../src/math/index.ts';
import { boundsOf, scaleMesh, type Mesh } from '../../src/mesh/index.ts';
import { readParts } from '../../src/read/index.ts';
import { isPlain, plainNormals } from '../../src/split/plain.ts';
import { proposeSplit, splitSettingsSchema, type SplitPlan } from '../../src/split/index.ts';

const machine = boxEnvelope(220, 220, 250);
const fixture = (name: string, scale = 1): Mesh => {
  const file = new URL(`../../../../fixtures/lamplighter/${name}.stl`, import.meta.url);
  return scaleMesh(readParts(readFileSync(file), { name })[0]?.mesh as Mesh, scale);
};
const planFor = (mesh: Mesh, given: object = {}): SplitPlan => {
  const settings = splitSettingsSchema.parse(given);
  return proposeSplit(mesh, [machine], { alternatives: 1, settings }).plans[0] as SplitPlan;
};

describe('plain directions', () => {
  it('are the axes, 45 degrees between two of them, and what the part or the maker gives', () => {
    const plain = plainNormals([[0.6, 0.8, 0]]);
    const h = Math.SQRT1_2;
    for (const n of [[1, 0, 0], [0, 0, -1], [h, h, 0], [-h, 0, h], [0.6, 0.8, 0]] as Vec3[])
      expect(isPlain(n, plain), n.join()).toBe(true);
    // 0.032 is 1.8 degrees off the Y axis.
    for (const n of [[0.0036, -0.9995, 0.032], [0.8, 0.6, 0], [0.577, 0.577, 0.577]] as Vec3[])
      expect(isPlain(n, plain), n.join()).toBe(false);
    expect(plain).toHaveLength(10);
  }); // prettier-ignore
});

describe('a plan', () => {
  it.each(['hips', 'torso-lower', 'coat-front'])('has no plane hardly off an axis, and counts the odd ones: %s', (name) => {
    const odd = ({ cost }: SplitPlan): number =>
      cost.terms.find((t) => t.name === 'oddAngle')?.value ?? NaN;
    const plan = planFor(fixture(name));
    expect(plan.complete).toBe(true);
    for (const { normal } of plan.planes) {
      const most = Math.max(...normal.map(Math.abs));
      expect(most === 1 || most < Math.cos((5 * Math.PI) / 180), normal.join()).toBe(true);
    }
    // Plain are the axes, 45 degrees between two of them, and faces of the part.
    const tilted = plan.cuts.filter((cut) => {
      const plane = plan.planes.find((p) => p.id === cut.plane);
      return plane && !isPlain(plane.normal, plainNormals([]));
    });
    expect(odd(plan)).toBeLessThanOrEqual(tilted.length);
    if (odd(plan) <= 1) return;
    // More than one only comes of moving all planes together, and only where the plan is cheaper for it.
    const unmoved = planFor(fixture(name), { settleMoves: 0 });
    expect(odd(unmoved)).toBeLessThanOrEqual(1);
    expect(plan.cost.total).toBeLessThan(unmoved.cost.total);
  }); // prettier-ignore

  it('cuts at a whole height over the lowest point, where that does no harm', () => {
    const [cut] = planFor(fixture('leg-left')).cuts;
    expect(cut?.heightMm).toBeCloseTo(Math.round(cut?.heightMm ?? NaN), 3);
  });
});

describe('mirrored parts of a kit', () => {
  it.each([['boot', 1], ['leg', 1], ['shoulder-ring', 2]] as const)('get mirrored plans: %s', (name, scale) => {
    const left = fixture(`${name}-left`, scale);
    const right = fixture(`${name}-right`, scale);
    // Sides are mirrored along X: x goes to sum - x.
    const sum = boundsOf(left.positions).min[0] + boundsOf(right.positions).max[0];
    const marks = (plan: SplitPlan, image: boolean): string[] =>
      plan.planes
        .map(({ normal, offsetMm }) => {
          const s = image ? -1 : 1;
          const n = [s * normal[0], normal[1], normal[2]];
          const offset = offsetMm + (image ? sum * (n[0] as number) : 0);
          // One of both senses of a plane, told by its largest component.
          const lead = n.reduce((a, b) => (Math.abs(b) > Math.abs(a) + 1e-6 ? b : a));
          return [...n, offset].map((x) => (x * Math.sign(lead) + 0).toFixed(2).replace('-0.00', '0.00')).join();
        })
        .sort();
    expect(marks(planFor(right), false)).toEqual(marks(planFor(left), true));
  }); // prettier-ignore
});
