import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { unit, type Vec3 } from '../../src/math/index.ts';
import { ballMesh, boxMesh, flipTriangles, joinMeshes, massProperties, torusMesh } from '../../src/mesh/index.ts'; // prettier-ignore
import {
  bodyFrom,
  bodyVolume,
  clipBody,
  clipSkin,
  countBodies,
  heightsAlong,
  skinPoints,
  type Body,
  type Halves,
} from '../../src/split/body.ts';
import { halfPoints } from '../../src/split/halves.ts';
import { massOf, overhangArea, sectionArea } from '../../src/split/mass.ts';

const direction = fc
  .tuple(fc.double({ min: -1, max: 1 }), fc.double({ min: -1, max: 1 }), fc.double({ min: -1, max: 1 }))
  .map((d) => unit(d as Vec3))
  .filter((d) => d !== null); // prettier-ignore

/** Every directed edge has its opposite: the chain has no boundary. */
function isCycle(body: Body): boolean {
  const key = (i: number): string => [0, 1, 2].map((c) => (body.positions[3 * i + c] as number).toFixed(9)).join(); // prettier-ignore
  const sum = new Map<string, number>();
  const t = body.triangles;
  for (let e = 0; e < t.length; e++) {
    const a = key(t[e] as number);
    const b = key(t[e % 3 === 2 ? e - 2 : e + 1] as number);
    if (a === b) continue;
    const [k, s] = a < b ? [`${a}|${b}`, 1] : [`${b}|${a}`, -1];
    sum.set(k, (sum.get(k) ?? 0) + s);
  }
  return [...sum.values()].every((v) => v === 0);
}

/** Both sides, cuts left open. */
const open = (body: Body, n: Vec3, offset: number): Halves =>
  clipSkin(body, heightsAlong(body.positions, n), offset);

describe('a body cut by planes', () => {
  it('has the same points on its sides when no facets are made', () => {
    const torus = bodyFrom(torusMesh(50, 15, 24, 12));
    const places = (p: Float64Array | undefined): string[] => {
      const all = Array.from({ length: (p?.length ?? 0) / 3 }, (_, i) => p?.slice(3 * i, 3 * i + 3).join());
      return [...new Set(all)].sort() as string[];
    }; // prettier-ignore
    fc.assert(
      fc.property(direction, fc.double({ min: -70, max: 70, noNaN: true }), (n, s) => {
        const { below, above } = open(torus, n, s);
        const points = halfPoints(torus, heightsAlong(torus.positions, n), s);
        expect(points === null).toBe(!below || !above);
        if (!points || !below || !above) return;
        expect(places(points.below)).toEqual(places(skinPoints(below)));
        expect(places(points.above)).toEqual(places(skinPoints(above)));
      }),
    );
  });

  it('has the same points on its skin when the cuts are left open', () => {
    const torus = bodyFrom(torusMesh(50, 15, 24, 12));
    const points = (body: Body | null): string[] => {
      const p = body ? skinPoints(body) : new Float64Array(0);
      return Array.from({ length: p.length / 3 }, (_, i) =>
        p.slice(3 * i, 3 * i + 3).join(),
      ).sort();
    };
    fc.assert(
      fc.property(
        direction,
        direction,
        fc.double({ min: -40, max: 40, noNaN: true }),
        (n, m, s) => {
          const [closed, half] = [clipBody(torus, n, s).below, open(torus, n, s).below];
          expect(points(half)).toEqual(points(closed));
          if (!closed || !half) return;
          const [a, b] = [clipBody(closed, m, 3), open(half, m, 3)];
          // What an earlier cut is closed with adds its own corners to the rim, none of them on the skin.
          expect(points(b.below)).toEqual(points(a.below));
          expect(points(b.above)).toEqual(points(a.above));
        },
      ),
    );
  });

  it('gives halves whose chains close and whose volumes add up, cut after cut', () => {
    const torus = bodyFrom(torusMesh(50, 15, 24, 12));
    const whole = bodyVolume(torus);
    fc.assert(
      fc.property(direction, direction, fc.double({ min: -40, max: 40 }), fc.double({ min: -20, max: 20 }), (n, m, s, t) => {
        const first = clipBody(torus, n, s);
        const parts = [first.below, first.above].flatMap((side) => {
          if (!side) return [];
          const { below, above } = clipBody(side, m, t);
          return [below, above].filter((b) => b !== null);
        });
        for (const part of parts) expect(isCycle(part)).toBe(true);
        const sum = parts.reduce((v, part) => v + bodyVolume(part), 0);
        expect(Math.abs(sum - whole)).toBeLessThan(1e-9 * whole);
      }),
      { seed: 1, numRuns: 60 },
    ); // prettier-ignore
  });

  it('counts the bodies of a cut ring, and a hollow not as one', () => {
    const ring = clipBody(bodyFrom(torusMesh(50, 10, 32, 16)), [1, 0, 0], 20);
    expect(countBodies(ring.above as Body)).toBe(1);
    const ends = clipBody(ring.above as Body, [0, 1, 0], 0);
    expect(countBodies(ends.below as Body)).toBe(1);
    const middle = clipBody(bodyFrom(torusMesh(50, 10, 32, 16)), [0, 0, 1], 0.3);
    expect(countBodies(middle.below as Body)).toBe(1);
    // Between x = -5 and 5 a ring leaves two stubs.
    const slab = clipBody(clipBody(bodyFrom(torusMesh(50, 10, 32, 16)), [1, 0, 0], 5).below as Body, [1, 0, 0], -5); // prettier-ignore
    expect(countBodies(slab.above as Body)).toBe(2);
    const inner = ballMesh(30, 2);
    const shell = joinMeshes([ballMesh(40, 2), { ...inner, triangles: flipTriangles(inner.triangles) }]); // prettier-ignore
    expect(countBodies(bodyFrom(shell))).toBe(1);
    const half = clipBody(bodyFrom(shell), [0, 0, 1], 3);
    expect(countBodies(half.below as Body)).toBe(1);
    expect(countBodies(half.above as Body)).toBe(1);
  });

  it('has the mass properties that the mesh room computes by another route', () => {
    const mesh = torusMesh(40, 12, 20, 10);
    const moved = { ...mesh, positions: mesh.positions.map((x, i) => x + 100 * (i % 3)) };
    const mine = massOf(bodyFrom(moved));
    const other = massProperties(moved);
    expect(mine.volumeMm3).toBeCloseTo(other.volumeMm3, 6);
    mine.centreMm.forEach((x, i) => {
      expect(x).toBeCloseTo(other.centreMm[i] as number, 9);
    });
  });

  it('measures areas of sections and overhangs of a box in closed form', () => {
    const box = bodyFrom(boxMesh([10, 20, 30]));
    expect(sectionArea(box, { normal: [0, 0, 1], offsetMm: 12 })).toBeCloseTo(200, 9);
    const d = Math.SQRT1_2;
    // A plane at 45 degrees through the middle cuts a rectangle 10 x 20 * sqrt(2).
    expect(sectionArea(box, { normal: [0, d, d], offsetMm: 25 * d })).toBeCloseTo(10 * 20 * Math.SQRT2, 9); // prettier-ignore
    // Standing on its end nothing hangs over; standing on an edge, two faces lie at 45 degrees.
    expect(overhangArea(box, [0, 0, -1])).toBe(0);
    const s = unit([0, 0.2, -1]) as Vec3;
    expect(overhangArea(box, s)).toBeCloseTo(200, 9);
  });
});
