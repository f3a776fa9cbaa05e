import { describe, expect, it } from 'vitest';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { bestYaw, fitPart, placeInYaw } from '../../src/fit/index.ts';
import { prismMesh } from '../../src/mesh/index.ts';
import { seededRandom } from '../../src/math/index.ts';

/**
 * Rectangle p >= q into a >= b (Carver, Amer. Math. Monthly 64 (1957) 114-116; Wetzel, Math. Mag.
 * 73 (2000) 204-211), with the scale that follows from it.
 */
function rectangleScale(p: number, q: number, a: number, b: number): number {
  const straight = Math.min(a / p, b / q);
  if (!(p > q)) return straight;
  const s = Math.sqrt((((a + b) / (p + q)) ** 2 + ((a - b) / (p - q)) ** 2) / 2);
  return s * p > a && s * q <= b ? Math.max(straight, s) : straight;
}

const scaleOf = (p: number, q: number, a: number, b: number): number =>
  1 / bestYaw([0, p, p, 0], [0, 0, q, q], a, b).tau;

describe('bestYaw', () => {
  it.each([
    [9, 4, 8, 6, 8 / 9],
    [10, 10, 8, 8, 0.8],
    [10, 1, 8, 7.5464702, 1],
    [12, 2, 10, 9.796949, 1],
    [300, 20, 250, 200, 1.0023539],
    [280, 30, 220, 220, 1.0036354],
  ])('%f x %f into %f x %f has scale %f (published criterion)', (p, q, a, b, truth) =>
    expect(scaleOf(p, q, a, b)).toBeCloseTo(truth, 6),
  );

  it('agrees with the criterion on 5000 random rectangles (seed 11)', () => {
    const random = seededRandom(11);
    for (let i = 0; i < 5000; i++) {
      const [p, q] = [1 + 9 * random(), 1 + 9 * random()].sort((x, y) => y - x) as [number, number];
      const [a, b] = [1 + 9 * random(), 1 + 9 * random()].sort((x, y) => y - x) as [number, number];
      expect(scaleOf(p, q, a, b)).toBeCloseTo(rectangleScale(p, q, a, b), 9);
      expect(scaleOf(p, q, b, a)).toBeCloseTo(rectangleScale(p, q, a, b), 9);
    }
  });

  // Least square around a regular polygon of side 1 (known values; triangle and hexagon from the
  // usual closed forms).
  it.each([
    [3, 0.9659258],
    [5, 1.5981133],
    [6, 1.9318517],
    [7, 2.2328511],
    [8, 2.4142136],
  ])('the least square around a regular %i-gon of side 1 is %f', (n, side) => {
    const r = 0.5 / Math.sin(Math.PI / n);
    const xs = Array.from({ length: n }, (_, i) => r * Math.cos(0.3 + (2 * Math.PI * i) / n));
    const ys = Array.from({ length: n }, (_, i) => r * Math.sin(0.3 + (2 * Math.PI * i) / n));
    expect(bestYaw(xs, ys, 1, 1).tau).toBeCloseTo(side, 7);
  });

  it('is never beaten by 20 000 turns, and its own turn does what it says', () => {
    const random = seededRandom(5);
    for (let k = 0; k < 20; k++) {
      const n = 3 + Math.floor(random() * 12);
      const xs = Array.from({ length: n }, () => random() * 10);
      const ys = Array.from({ length: n }, () => random() * 6);
      const [a, b] = [2 + random(), 1 + random()];
      const tau = (t: number): number => {
        const [c, s] = [Math.cos(t), Math.sin(t)];
        const u = xs.map((x, i) => c * x - s * ys[i]!);
        const v = xs.map((x, i) => s * x + c * ys[i]!);
        return Math.max(
          (Math.max(...u) - Math.min(...u)) / a,
          (Math.max(...v) - Math.min(...v)) / b,
        );
      };
      const best = bestYaw(xs, ys, a, b);
      expect(tau(best.angle)).toBeCloseTo(best.tau, 10);
      for (let i = 0; i < 1000; i++)
        expect(tau((Math.PI * i) / 1000)).toBeGreaterThanOrEqual(best.tau * (1 - 1e-12));
    }
  });
});

describe('a turn about the vertical', () => {
  const square = (s: number): [number, number][] => [[0, 0], [s, 0], [s, s], [0, s]]; // prettier-ignore

  it('is told from a tilt: the same face stays down', () => {
    // A diamond of 300 across lies straight in 220 x 220 after an eighth of a turn.
    const diamond = prismMesh([[150, 0], [0, 150], [-150, 0], [0, -150]], 40); // prettier-ignore
    const fit = fitPart(diamond.positions, boxEnvelope(220, 220, 250));
    expect(fit.verdict).toBe('fits-turned');
    expect(Math.abs(fit.placement.turnsDeg[2]) % 90).toBeCloseTo(45, 9);
    expect(fit.placement.turnsDeg.slice(0, 2)).toEqual([0, 0]);
    expect(placeInYaw(prismMesh(square(221), 10).positions, boxEnvelope(220, 220, 250))).toBeNull();
  });

  it('goes through a polygonal plate that is the same rectangle to the same answer', () => {
    const plate = {
      ...boxEnvelope(1, 1, 100),
      plate: {
        shape: 'polygon' as const,
        outlineMm: [[0, 0], [250, 0], [250, 198.75], [0, 198.75]] as const, // prettier-ignore
      },
    };
    const bar = prismMesh([[0, 0], [300, 0], [300, 20], [0, 20]], 10).positions; // prettier-ignore
    const fit = fitPart(bar, plate);
    expect(fit.verdict).toBe('fits-turned');
    const narrower = { ...plate, plate: { shape: 'polygon' as const, outlineMm: [[0, 0], [250, 0], [250, 198.7], [0, 198.7]] as const } }; // prettier-ignore
    expect(placeInYaw(bar, narrower)).toBeNull();
  });
});
