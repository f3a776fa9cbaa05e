import { describe, expect, it } from 'vitest';
import { Extremes } from '../../src/fit/extremes.ts';
import { extremeCandidates, planarHull } from '../../src/hull/index.ts';
import { seededRandom, unit, type Vec3 } from '../../src/math/index.ts';
import { boundsOf, torusMesh } from '../../src/mesh/index.ts';

/** A cloud in no order, and a ring in rows: the worst and the usual list. */
const random = seededRandom(5);
const cloud = Float64Array.from({ length: 3 * 5000 }, () => 100 * random() - 30);
const sets = [cloud, torusMesh(60, 25, 120, 60).positions, cloud.subarray(0, 3 * 7)];

const direction = (): Vec3 => unit([random() - 0.5, random() - 0.5, random() - 0.5]) as Vec3;
const along = (d: Vec3, p: Float64Array, i: number): number =>
  d[0] * (p[3 * i] as number) + d[1] * (p[3 * i + 1] as number) + d[2] * (p[3 * i + 2] as number);

describe('Extremes', () => {
  it.each(sets)(
    'finds the farthest points along any direction, as a look at all does',
    (points) => {
      const extremes = new Extremes(points);
      const all = Array.from({ length: points.length / 3 }, (_, i) => i);
      for (let k = 0; k < 200; k++) {
        const d = direction();
        const heights = all.map((i) => along(d, points, i));
        extremes.along(...d);
        expect(along(d, points, extremes.top)).toBe(Math.max(...heights));
        expect(along(d, points, extremes.bottom)).toBe(Math.min(...heights));
      }
    },
  );

  it.each(sets)('finds the point farthest from another', (points) => {
    const extremes = new Extremes(points);
    for (let p = 0; p < points.length / 3; p += 97) {
      let most = 0;
      for (let i = 0; i < points.length; i += 3) {
        const d = [0, 1, 2].map((k) => (points[i + k] as number) - (points[3 * p + k] as number));
        most = Math.max(
          most,
          d.reduce((sum, x) => sum + x * x, 0),
        );
      }
      expect(extremes.awayFrom(p)).toBeCloseTo(most, 8);
    }
  });

  it.each(sets)('keeps every corner of the outline, in any view', (points) => {
    const extremes = new Extremes(points);
    for (let k = 0; k < 10; k++) {
      const u = direction();
      const w = direction();
      const v = unit([u[1] * w[2] - u[2] * w[1], u[2] * w[0] - u[0] * w[2], u[0] * w[1] - u[1] * w[0]]) as Vec3; // prettier-ignore
      const corners = planarHull(points.length / 3, (i) => along(u, points, i), (i) => along(v, points, i)); // prettier-ignore
      const rim = new Set(extremes.rim(u, v));
      expect(corners.filter((i) => !rim.has(i))).toEqual([]);
    }
  });
});

describe('extremeCandidates', () => {
  it('keep the width of large bodies in every direction, rough or smooth', () => {
    for (const rough of [0, 0.01]) {
      const smooth = torusMesh(60, 25, 200, 120).positions;
      const points = smooth.map((x, i) => x * (1 + rough * Math.sin(1e4 * Math.floor(i / 3))));
      const { positions, inner } = extremeCandidates(points);
      expect(positions.length).toBeLessThan(0.8 * points.length);
      expect(inner.positions.length).toBeLessThan(positions.length);
      const [all, few] = [new Extremes(points), new Extremes(positions)];
      for (let k = 0; k < 500; k++) {
        const d = direction();
        all.along(...d);
        few.along(...d);
        expect(along(d, positions, few.top)).toBe(along(d, points, all.top));
        expect(along(d, positions, few.bottom)).toBe(along(d, points, all.bottom));
      }
      expect(boundsOf(positions)).toEqual(boundsOf(points));
    }
  });

  it('are the hull itself of a small or a flat set', () => {
    const flat = Float64Array.from({ length: 3 * 6000 }, (_, i) => (i % 3 === 2 ? 0 : random()));
    expect(extremeCandidates(flat).inner.rank).toBe(2);
    const { positions, inner } = extremeCandidates(torusMesh(60, 25, 40, 20).positions);
    expect(positions).toEqual(inner.positions);
  });
});
