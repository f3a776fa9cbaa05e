import { describe, expect, it } from 'vitest';
import { boxEnvelope, type Envelope, type KeepOut } from '../../src/envelope/index.ts';
import { freeSpaceOf } from '../../src/fit/free-space.ts';
import { fitPart, smallestCircle } from '../../src/fit/index.ts';
import { minkowskiSum } from '../../src/hull/index.ts';
import { convexHull } from '../../src/hull/index.ts';
import { quatToMatrix, rotate, seededRandom, type Vec3 } from '../../src/math/index.ts';
import { boxMesh, cylinderMesh } from '../../src/mesh/index.ts';

const withKeepOuts = (keepOuts: KeepOut[], base: Envelope = boxEnvelope(200, 200, 200)): Envelope => ({
  ...base,
  keepOuts,
}); // prettier-ignore
const corner: KeepOut = { name: 'purge corner', minMm: [40, 40, 0], maxMm: [100, 100, 30] };

describe('margins', () => {
  it('are taken off the plate on both sides and off the top', () => {
    const tight = { ...boxEnvelope(220, 220, 250), marginSideMm: 5, marginTopMm: 10 };
    expect(fitPart(boxMesh([210, 210, 240]).positions, tight).verdict).toBe('fits');
    expect(fitPart(boxMesh([210.1, 210.1, 240]).positions, tight).verdict).toBe('too-big');
    expect(() => fitPart(boxMesh([1, 1, 1]).positions, { ...tight, marginSideMm: 110 })).toThrow(
      'leave no room',
    );
  });

  it('shrink a polygonal plate edge by edge', () => {
    const triangle: Envelope = {
      ...boxEnvelope(1, 1, 50),
      plate: { shape: 'polygon', outlineMm: [[0, 0], [300, 0], [0, 400]] }, // prettier-ignore
      marginSideMm: 10,
    };
    // A 3-4-5 triangle with inradius 100 keeps its shape; its size falls by 10 in 100.
    const space = freeSpaceOf(triangle);
    expect(space?.volumeMm3).toBeCloseTo(((0.9 * 300 * 0.9 * 400) / 2) * 50, 6);
    expect(space?.diagonalMm).toBeCloseTo(Math.hypot(450, 50), 6);
  });
});

describe('placement among keep-outs', () => {
  it('moves a part aside, and every point of it stays out of the corner', () => {
    const part = boxMesh([130, 190, 50]);
    const fit = fitPart(convexHull(part.positions), withKeepOuts([corner]));
    expect(fit.verdict).toBe('fits');
    const m = quatToMatrix(fit.placement.rotation);
    const high = Math.max(
      ...[0, 1, 2, 3, 4, 5, 6, 7].map((i) => {
        const p: Vec3 = [part.positions[3 * i]!, part.positions[3 * i + 1]!, part.positions[3 * i + 2]!];
        return rotate(m, p)[0] + fit.placement.translationMm[0];
      }),
    ); // prettier-ignore
    expect(high).toBeLessThanOrEqual(40 + 1e-6);
    expect(high - 130).toBeGreaterThanOrEqual(-100 - 1e-6);
  });

  it('may stand over a low clip with what is higher than it', () => {
    // An upside-down frustum: wide on top, narrow below, over a clip 10 mm high.
    const clip: KeepOut = { name: 'clip', minMm: [60, -100, 0], maxMm: [100, 100, 10] };
    const points = Float64Array.from(
      [[-50, 0], [50, 0], [-95, 100], [95, 100]].flatMap(([x, z]) => [x, -50, z, x, 50, z] as number[]),
    ); // prettier-ignore
    expect(fitPart(convexHull(points), withKeepOuts([clip])).verdict).toBe('fits');
    // Without its hull's facets the whole plan counts, and it has to be turned or moved.
    const block = boxMesh([190, 150, 100]).positions;
    expect(fitPart(convexHull(block), withKeepOuts([clip])).verdict).not.toBe('fits');
  });

  it('is undecided, not proved, when keep-outs alone are in the way', () => {
    const walls: KeepOut[] = [{ name: 'middle', minMm: [-10, -10, 0], maxMm: [10, 10, 200] }];
    const fit = fitPart(convexHull(boxMesh([150, 150, 150]).positions), withKeepOuts(walls));
    expect(fit.verdict).toBe('undecided');
    expect(fit.scale.atLeast).toBeGreaterThan(90 / 150 - 0.01);
    expect(fit.scale.atMost).toBeGreaterThan(1.3);
  });

  it('finds a place exactly when a fine grid of shifts does (seed 12)', () => {
    const random = seededRandom(12);
    let both = 0;
    for (let k = 0; k < 30; k++) {
      const [w, d] = [40 + 150 * random(), 40 + 150 * random()];
      const keepOuts = [0, 1].map((i): KeepOut => {
        const [x, y] = [-100 + 150 * random(), -100 + 150 * random()];
        return { name: `box ${i}`, minMm: [x, y, 0], maxMm: [x + 20 + 60 * random(), y + 20 + 60 * random(), 50] }; // prettier-ignore
      });
      let free = false;
      for (let i = 0; i <= 100 && !free; i++)
        for (let j = 0; j <= 100 && !free; j++) {
          const x = -100 + ((200 - w) * i) / 100;
          const y = -100 + ((200 - d) * j) / 100;
          free = keepOuts.every(
            (o) => x + w <= o.minMm[0] || x >= o.maxMm[0] || y + d <= o.minMm[1] || y >= o.maxMm[1],
          );
        }
      const fit = fitPart(convexHull(boxMesh([w, d, 40]).positions), withKeepOuts(keepOuts), {
        precision: 0.5,
      });
      if (free) {
        both++;
        expect(fit.verdict).toBe('fits');
      }
      const { translationMm: t } = fit.placement;
      if (fit.verdict === 'fits')
        for (const o of keepOuts)
          expect(
            t[0] + w <= o.minMm[0] + 1e-6 || t[0] >= o.maxMm[0] - 1e-6 ||
              t[1] + d <= o.minMm[1] + 1e-6 || t[1] >= o.maxMm[1] - 1e-6,
          ).toBe(true); // prettier-ignore
    }
    expect(both).toBeGreaterThan(6);
  });
});

describe('planar tools', () => {
  it('adds convex polygons: areas obey the mixed-area formula for rectangles', () => {
    const sum = minkowskiSum(
      [[0, 0], [2, 0], [2, 3], [0, 3]],
      [[0, 0], [5, 0], [5, 7], [0, 7]],
    ); // prettier-ignore
    const xs = sum.map((p) => p[0]);
    const ys = sum.map((p) => p[1]);
    expect([Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)]).toEqual([
      0, 7, 0, 10,
    ]);
  });

  it('encloses random points in the smallest circle, as brute force over pairs and triples does', () => {
    const random = seededRandom(9);
    for (let k = 0; k < 40; k++) {
      const n = 3 + Math.floor(random() * 7);
      const xs = Array.from({ length: n }, () => random());
      const ys = Array.from({ length: n }, () => random());
      let best = Infinity;
      const offer = (x: number, y: number): void => {
        best = Math.min(best, Math.max(...xs.map((a, i) => Math.hypot(a - x, ys[i]! - y))));
      };
      for (let i = 0; i < n; i++)
        for (let j = 0; j < i; j++) {
          offer((xs[i]! + xs[j]!) / 2, (ys[i]! + ys[j]!) / 2);
          for (let l = 0; l < j; l++) {
            const [ax, ay, bx, by, cx, cy] = [xs[i]!, ys[i]!, xs[j]!, ys[j]!, xs[l]!, ys[l]!];
            const d = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by));
            const [a2, b2, c2] = [ax * ax + ay * ay, bx * bx + by * by, cx * cx + cy * cy];
            offer(
              (a2 * (by - cy) + b2 * (cy - ay) + c2 * (ay - by)) / d,
              (a2 * (cx - bx) + b2 * (ax - cx) + c2 * (bx - ax)) / d,
            );
          }
        }
      expect(smallestCircle(xs, ys).r).toBeCloseTo(best, 10);
    }
    expect(smallestCircle([5], [5])).toEqual({ x: 5, y: 5, r: 0 });
  });

  it('measures how far a part on a round plate can still be moved', () => {
    const plate: Envelope = {
      ...boxEnvelope(200, 200, 100),
      plate: { shape: 'round', diameterMm: 200 },
    };
    const { placement } = fitPart(cylinderMesh(60, 50, 256).positions, plate); // prettier-ignore
    expect(placement.clearanceMm[0]).toBeCloseTo(80, 1);
    expect(placement.clearanceMm[2]).toBe(50);
  });
});
