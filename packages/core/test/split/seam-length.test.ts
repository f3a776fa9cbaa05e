import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { splitBodies } from '../../bench/split-bodies.ts';
import { randomPlans, SEAM_ALONE } from '../../bench/split-random.ts';
import { boxEnvelope } from '../../src/envelope/index.ts';
import type { Mesh } from '../../src/mesh/index.ts';
import { readParts } from '../../src/read/index.ts';
import { proposeSplit } from '../../src/split/index.ts';

const size = [220, 220, 250] as const;
const fixture = (name: string) => (): Mesh => {
  const file = new URL(`../../../../fixtures/lamplighter/${name}.stl`, import.meta.url);
  return readParts(readFileSync(file), { name })[0]?.mesh as Mesh;
};

/** Bodies whose sections differ from place to place, so that it matters where they are cut. */
const bodies: Readonly<Record<string, () => Mesh>> = {
  'limb': splitBodies['limb, thin in the middle'] as () => Mesh,
  'crescent': splitBodies['crescent'] as () => Mesh,
  'ring': splitBodies['ring 300'] as () => Mesh,
  'pole': splitBodies['tapered pole'] as () => Mesh,
  'foot': splitBodies['plate with a foot'] as () => Mesh,
  'boot': fixture('boot-left'),
  'leg': fixture('leg-left'),
  'belt': fixture('belt-back'),
}; // prettier-ignore

describe('the seam', () => {
  // Brute force: 40 plans of as many pieces whose planes are drawn at random, all pieces fitting
  // (seed 3). No plan can be much shorter than the shortest of many, so the margin is small. Nothing
  // but the seam counts here: by default a belt is cut on the slant, to stand on its cut face.
  it('of eight bodies is shorter in total than the best of 40 random valid plans each', () => {
    let ours = 0;
    let theirs = 0;
    let compared = 0;
    for (const [name, make] of Object.entries(bodies)) {
      const mesh = make();
      const [plan] = proposeSplit(mesh, [boxEnvelope(...size)], {
        alternatives: 1,
        settings: SEAM_ALONE,
      }).plans;
      expect(plan?.complete, name).toBe(true);
      if (!plan) continue;
      const seam = plan.cuts.reduce((sum, c) => sum + c.seam.lengthMm, 0);
      const random = randomPlans(mesh, size, plan.pieces.length, 40, 60, 3);
      if (random.valid < 10) continue;
      compared++;
      ours += seam;
      theirs += random.bestMm;
      expect(seam, name).toBeLessThan(1.05 * random.bestMm);
    }
    expect(compared).toBeGreaterThan(5);
    expect(ours).toBeLessThan(0.97 * theirs);
  });
});
