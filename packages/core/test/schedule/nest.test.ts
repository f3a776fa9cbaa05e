import { describe, expect, it } from 'vitest';
import { boxEnvelope, type Envelope } from '../../src/envelope/index.ts';
import { seededRandom } from '../../src/math/index.ts';
import {
  areaOf,
  coarsened,
  convexOutline,
  minkowskiSum,
  moved,
  reach,
  strictlyInside,
  turned,
  type Convex,
  type Vec2,
} from '../../src/hull/index.ts';
import { nest, type PlacedFootprint } from '../../src/schedule/nest.ts';

const rectangle = (w: number, d: number): Convex => [[0, 0], [w, 0], [w, d], [0, d]]; // prettier-ignore

/** Least distance of two convex polygons, by all pairs of corner and edge; 0 when they overlap. */
function distance(a: Convex, b: Convex): number {
  let least = Infinity;
  for (const [p, q] of [
    [a, b],
    [b, a],
  ] as const)
    // prettier-ignore
    for (const c of p) {
      if (strictlyInside(q, c, 1e-9)) return 0;
      q.forEach((s, i) => {
        const e = q[(i + 1) % q.length] as Vec2;
        const l2 = (e[0] - s[0]) ** 2 + (e[1] - s[1]) ** 2;
        const t = Math.max(0, Math.min(1, ((c[0] - s[0]) * (e[0] - s[0]) + (c[1] - s[1]) * (e[1] - s[1])) / l2)); // prettier-ignore
        least = Math.min(least, Math.hypot(c[0] - s[0] - t * (e[0] - s[0]), c[1] - s[1] - t * (e[1] - s[1]))); // prettier-ignore
      });
    }
  return least;
}

const lay = (f: Convex, p: PlacedFootprint): Convex =>
  moved(turned(f, (p.turnDeg * Math.PI) / 180), [p.xMm, p.yMm]);

function expectValid(shapes: readonly Convex[], envelope: Envelope, gap: number): void {
  const found = nest(shapes, envelope, gap);
  expect(found).not.toBeNull();
  const laid = (found ?? []).map((p) => lay(shapes[p.index] as Convex, p));
  expect(laid).toHaveLength(shapes.length);
  laid.forEach((a, i) => {
    if (envelope.plate.shape === 'box') {
      const x = envelope.plate.widthMm / 2 - envelope.marginSideMm + 1e-6;
      const y = envelope.plate.depthMm / 2 - envelope.marginSideMm + 1e-6;
      for (const p of a) expect(Math.abs(p[0]) <= x && Math.abs(p[1]) <= y).toBe(true);
    } else if (envelope.plate.shape === 'round')
      for (const p of a)
        expect(Math.hypot(...p)).toBeLessThanOrEqual(envelope.plate.diameterMm / 2 + 1e-6);
    for (const b of laid.slice(i + 1)) expect(distance(a, b)).toBeGreaterThanOrEqual(gap - 1e-6);
  });
}

describe('nesting footprints on a plate', () => {
  it('lays four squares of 100 with a gap of 10 on a plate of 210, which is exactly full', () => {
    expectValid(Array<Convex>(4).fill(rectangle(100, 100)), boxEnvelope(210, 210, 200), 10);
    expect(nest(Array<Convex>(4).fill(rectangle(100, 100)), boxEnvelope(209.9, 210, 200), 10)).toBeNull(); // prettier-ignore
  });

  it('turns a long piece across a narrow place and onto the diagonal', () => {
    expectValid([rectangle(190, 40), rectangle(40, 140)], boxEnvelope(200, 200, 100), 5);
    // A thin piece of 270 only goes along the diagonal of 200 x 200 (282.8).
    expectValid([rectangle(270, 2)], boxEnvelope(200, 200, 100), 5);
  });

  it('keeps margins, keep-outs and round plates', () => {
    const plate: Envelope = {
      ...boxEnvelope(220, 220, 100),
      marginSideMm: 10,
      keepOuts: [{ name: 'purge corner', minMm: [-110, -110, 0], maxMm: [-60, -60, 10] }],
    };
    const shapes = [rectangle(80, 60), rectangle(90, 90), rectangle(60, 60)];
    expectValid(shapes, plate, 6);
    for (const p of nest(shapes, plate, 6) ?? [])
      expect(distance(lay(shapes[p.index] as Convex, p), [[-110, -110], [-60, -110], [-60, -60], [-110, -60]])).toBeGreaterThanOrEqual(0); // prettier-ignore
    const round: Envelope = {
      ...boxEnvelope(1, 1, 100),
      plate: { shape: 'round', diameterMm: 200 },
    };
    // Two 1 x 2 halves of the inscribed square (side 141.42) less the gap.
    expectValid([rectangle(68, 138), rectangle(68, 138)], round, 4);
    expect(nest([rectangle(142, 142)], round, 4)).toBeNull();
  });

  it('is valid for random hulls', () => {
    const random = seededRandom(3);
    for (let k = 0; k < 12; k++) {
      const shapes = Array.from({ length: 5 }, () =>
        convexOutline(Array.from({ length: 30 }, (): Vec2 => [random() * 90, random() * 60])),
      );
      expectValid(shapes, boxEnvelope(320, 320, 100), 5);
    }
  });
});

describe('convex polygons', () => {
  it('gives the Minkowski sum that the sums of all corners give', () => {
    const random = seededRandom(4);
    for (let k = 0; k < 100; k++) {
      const [a, b] = [7, 9].map((n) => convexOutline(Array.from({ length: n }, (): Vec2 => [Math.round(random() * 12), Math.round(random() * 12)]))); // prettier-ignore
      if (!a || !b || a.length < 3 || b.length < 3) continue;
      const sums = convexOutline(a.flatMap((p) => b.map((q): Vec2 => [p[0] + q[0], p[1] + q[1]])));
      expect(areaOf(minkowskiSum(a, b))).toBeCloseTo(areaOf(sums), 9);
    }
  });

  it('coarsens outward only', () => {
    const circle = Array.from({ length: 60 }, (_, i): Vec2 => [Math.cos(i / 60 * 2 * Math.PI), Math.sin(i / 60 * 2 * Math.PI)]); // prettier-ignore
    const rough = coarsened(circle, 12);
    expect(rough).toHaveLength(12);
    // A regular dodecagon around the unit circle has the area 12 tan(15 deg).
    expect(areaOf(rough)).toBeLessThan(12 * Math.tan(Math.PI / 12) * 1.03);
    for (let i = 0; i < 24; i++) {
      const n: Vec2 = [Math.cos(i), Math.sin(i)];
      expect(reach(rough, n)).toBeGreaterThanOrEqual(reach(circle, n) - 1e-12);
    }
  });
});
