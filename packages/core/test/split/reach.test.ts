import { describe, expect, it } from 'vitest';
import { boxEnvelope, type Envelope } from '../../src/envelope/index.ts';
import { decideFit } from '../../src/fit/index.ts';
import { seededRandom } from '../../src/math/index.ts';
import { boxMesh } from '../../src/mesh/index.ts';
import { Reach } from '../../src/split/reach.ts';

describe('reach tables', () => {
  it('know tilted bars: 100 x 100 in 300^3 up to 342.53 (branch and bound), 20 x 20 in 220 x 220 x 250 up to 364.15', () => {
    const cube = new Reach([boxEnvelope(300, 300, 300)]);
    expect(cube.fits(335, 100, 100)).toBe(true);
    expect(cube.fits(342.54, 100, 100)).toBe(false);
    const box = new Reach([boxEnvelope(220, 220, 250)]);
    expect(box.fits(358, 20, 20)).toBe(true);
    expect(box.fits(364.16, 20, 20)).toBe(false);
  });

  it('count boxes: a bar in 3, a doubled cube in 8, a thin rod in ceil(length / diagonal)', () => {
    const cube = new Reach([boxEnvelope(300, 300, 300)]);
    expect(cube.count([1000, 100, 100]).count).toBe(3);
    expect(cube.count([600, 600, 600]).count).toBe(8);
    expect(cube.count([600.1, 600, 600]).count).toBe(12);
    const box = new Reach([boxEnvelope(220, 220, 250)]);
    for (const length of [390, 410, 790, 820, 1190])
      expect(box.count([length, 0.01, 0.01]).count).toBe(Math.ceil(length / 399.124));
  });

  it('never promise a box that the certified search refuses', () => {
    const random = seededRandom(11);
    const envelopes: Envelope[] = [
      boxEnvelope(220, 200, 250),
      { ...boxEnvelope(1, 1, 1, 'round'), plate: { shape: 'round', diameterMm: 260 }, heightMm: 180 },
      {
        ...boxEnvelope(1, 1, 1, 'hexagon'),
        plate: { shape: 'polygon', outlineMm: [[120, 0], [60, 104], [-60, 104], [-120, 0], [-60, -104], [60, -104]] },
        heightMm: 200,
      },
    ]; // prettier-ignore
    let promised = 0;
    for (const envelope of envelopes) {
      const reach = new Reach([envelope]);
      for (let i = 0; i < 40; i++) {
        const size = [20 + 300 * random(), 10 + 200 * random(), 5 + 120 * random()] as const;
        if (!reach.fits(...size)) continue;
        promised++;
        expect(decideFit(boxMesh(size).positions, envelope, { maxCells: 4000 }).fits).toBe(true);
      }
    }
    expect(promised).toBeGreaterThan(20);
  });
});
