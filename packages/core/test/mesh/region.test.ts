import { describe, expect, test } from 'vitest';
import { loopArea, regionFigures, regionsOf, windingOf } from '../../src/mesh/index.ts';

type Outline = readonly (readonly [number, number])[];
const loop = (points: Outline): Float64Array => Float64Array.from(points.flat());
const hole = (points: Outline): Float64Array => loop([...points].reverse());
const rectangle = (x: number, y: number, b: number, h: number): Outline => [
  [x, y], [x + b, y], [x + b, y + h], [x, y + h],
]; // prettier-ignore
const circle = (r: number, n: number): Outline =>
  Array.from({ length: n }, (_, i) => {
    const t = (2 * Math.PI * i) / n;
    return [r * Math.cos(t), r * Math.sin(t)] as const;
  });
const turned = (points: Outline, angle: number, dx: number, dy: number): Outline =>
  points.map(([x, y]) => [
    x * Math.cos(angle) - y * Math.sin(angle) + dx,
    x * Math.sin(angle) + y * Math.cos(angle) + dy,
  ]);

describe('figures of plane regions against the formulas of engineering handbooks', () => {
  test('rectangle b x h: b h3 / 12 and b h2 / 6', () => {
    const f = regionFigures([loop(rectangle(100, -50, 6, 10))]);
    expect(f.areaMm2).toBeCloseTo(60, 12);
    expect(f.centroidMm).toEqual([expect.closeTo(103, 12), expect.closeTo(-45, 12)]);
    expect(f.perimeterMm).toBe(32);
    expect(f.ixMm4).toBeCloseTo((6 * 10 ** 3) / 12, 9);
    expect(f.iyMm4).toBeCloseTo((10 * 6 ** 3) / 12, 9);
    expect(f.ixyMm4).toBeCloseTo(0, 9);
    expect(f.principal[0].modulusMm3).toBeCloseTo((10 * 6 ** 2) / 6, 9);
    expect(f.principal[1].modulusMm3).toBeCloseTo((6 * 10 ** 2) / 6, 9);
  });

  test('tube D, d: pi (D4 - d4) / 64 and / (32 D), with the polygon it is made of', () => {
    // A regular n-gon on radius R has I = n R4 sin(2a)(2 + cos(2a)) / 24 ... with 2a = 2 pi / n.
    const n = 720;
    const w = (2 * Math.PI) / n;
    const gon = (R: number): number => (n / 24) * R ** 4 * Math.sin(w) * (2 + Math.cos(w));
    const f = regionFigures([loop(circle(12.7, n)), hole(circle(11, n))]);
    expect(f.ixMm4).toBeCloseTo(gon(12.7) - gon(11), 6);
    const handbook = (Math.PI / 64) * (25.4 ** 4 - 22 ** 4);
    expect(Math.abs(f.ixMm4 / handbook - 1)).toBeLessThan(1e-4);
    expect(Math.abs(f.principal[0].modulusMm3 / (handbook / 12.7) - 1)).toBeLessThan(1e-4);
  });

  test('hollow box: (B H3 - b h3) / 12', () => {
    const f = regionFigures([loop(rectangle(0, 0, 40, 60)), hole(rectangle(5, 8, 30, 44))]);
    expect(f.ixMm4).toBeCloseTo((40 * 60 ** 3 - 30 * 44 ** 3) / 12, 6);
    expect(f.principal[1].modulusMm3).toBeCloseTo((40 * 60 ** 3 - 30 * 44 ** 3) / 12 / 30, 6);
  });

  test('I-section, turned and moved: (B H3 - b h3) / 12 about the strong axis, (2 t B3 + h s3) / 12 about the weak', () => {
    const B = 20, H = 40, s = 3, t = 4; // prettier-ignore
    const half: Outline = [[B / 2, -H / 2], [B / 2, -H / 2 + t], [s / 2, -H / 2 + t], [s / 2, H / 2 - t], [B / 2, H / 2 - t], [B / 2, H / 2]]; // prettier-ignore
    const outline: Outline = [...half, ...half.map(([x, y]) => [-x, y] as const).reverse()];
    const h = H - 2 * t;
    const strong = (B * H ** 3 - (B - s) * h ** 3) / 12;
    const weak = (2 * t * B ** 3 + h * s ** 3) / 12;
    for (const angle of [0, 0.3, 1, 1.5, 2.9]) {
      const f = regionFigures([loop(turned(outline, angle, 500, -300))]);
      expect(f.areaMm2).toBeCloseTo(2 * B * t + s * h, 8);
      expect(f.principal[0].iMm4).toBeCloseTo(weak, 4);
      expect(f.principal[1].iMm4).toBeCloseTo(strong, 4);
      expect(f.principal[1].modulusMm3).toBeCloseTo(strong / (H / 2), 5);
      expect(f.principal[0].modulusMm3).toBeCloseTo(weak / (B / 2), 5);
      // The strong axis is the outline's x axis, turned with it.
      expect(Math.sin(f.principal[1].angle - angle)).toBeCloseTo(0, 9);
    }
  });

  test('right triangle b, h: product of inertia -b2 h2 / 72', () => {
    const f = regionFigures([loop([[0, 0], [6, 0], [0, 9]])]); // prettier-ignore
    expect(f.ixyMm4).toBeCloseTo(-(36 * 81) / 72, 9);
    expect(f.ixMm4).toBeCloseTo((6 * 9 ** 3) / 36, 9);
  });

  test('no loops, or a loop without area, have finite figures', () => {
    for (const loops of [
      [],
      [
        loop([
          [1, 1],
          [2, 2],
          [3, 3],
        ]),
      ],
    ]) {
      // prettier-ignore
      const f = regionFigures(loops);
      expect(f.areaMm2).toBe(0);
      expect([...f.centroidMm, f.ixMm4, f.principal[0].modulusMm3].every(Number.isFinite)).toBe(
        true,
      );
    }
  });
});

describe('nesting', () => {
  test('an island in a hole in a plate: two regions, the hole with the plate', () => {
    const plate = loop(rectangle(0, 0, 10, 10));
    const gap = hole(rectangle(2, 2, 6, 6));
    const island = loop(rectangle(4, 4, 2, 2));
    const regions = regionsOf([island, gap, plate]);
    expect(regions.map((r) => [loopArea(r.outline), r.holes.length])).toEqual([[100, 1], [4, 0]]); // prettier-ignore
  });

  test('a hole that touches the outline in a corner stays in it', () => {
    const plate = loop(rectangle(0, 0, 4, 4));
    expect(regionsOf([plate, hole([[0, 0], [2, 1], [1, 2]])])[0]?.holes).toHaveLength(1); // prettier-ignore
  });

  test('winding counts overlaps and takes off holes', () => {
    const loops = [
      loop(rectangle(0, 0, 4, 4)),
      loop(rectangle(2, 0, 4, 4)),
      hole(rectangle(0.5, 1, 1, 1)),
    ];
    expect(windingOf(loops, 3, 3)).toBe(2);
    expect(windingOf(loops, 5, 3)).toBe(1);
    expect(windingOf(loops, 1, 1.5)).toBe(0);
    expect(windingOf(loops, 9, 0)).toBe(0);
  });
});
