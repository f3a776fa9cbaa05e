import { describe, expect, it } from 'vitest';
import { boxMesh } from '../../src/mesh/index.ts';
import type { Vec3 } from '../../src/math/index.ts';
import {
  balanceFigure,
  wallsToTry,
  balanceSchema,
  type StandingBody,
} from '../../src/stand/index.ts';

const block = (size: Vec3, min: Vec3, massG: number, more: Partial<StandingBody> = {}): StandingBody => ({
  name: 'block',
  group: 'body',
  massG,
  centreMm: [min[0] + size[0] / 2, min[1] + size[1] / 2, min[2] + size[2] / 2],
  points: boxMesh(size, min).positions,
  ...more,
}); // prettier-ignore

describe('the standing figure against closed forms', () => {
  it('a block half as wide as high tips at atan 0.5 = 26.565 degrees', () => {
    const b = balanceSchema.parse(balanceFigure([block([100, 100, 200], [0, 0, 0], 1000)]));
    expect(b.tip.angleDeg).toBeCloseTo(26.565, 3);
    expect(b.heightMm).toBe(200);
    // Raised over an edge: the diagonal of its side.
    expect(b.swingHeightMm).toBeCloseTo(Math.hypot(100, 200), 9);
    expect(b.onItsFeet).toBe(true);
  });

  it.each([
    ['cube', 1, 45],
    ['twice as high', 2, 26.565],
    ['a pole', 10, 5.711],
  ])('%s on its square foot', (_, ratio, angle) => {
    const b = balanceFigure([block([100, 100, 100 * ratio], [-50, 7, 3], 500)]);
    expect(b.tip.angleDeg).toBeCloseTo(angle, 3);
  });

  it('a push at the top of a block of 10 kg, 200 wide, 1000 high tips at m g b / z = 9.80665 N', () => {
    const b = balanceFigure([block([200, 200, 1000], [0, 0, 0], 10_000)], { pushHeightMm: 1000 });
    expect(b.tip.pushN).toBeCloseTo(9.80665, 9);
  });

  it('a stack has the mean centre: 3 kg low, 1 kg high and to the side', () => {
    const b = balanceFigure([
      block([200, 200, 100], [0, 0, 0], 3000, { group: 'boots' }),
      block([100, 100, 100], [100, 100, 100], 1000, { group: 'head' }),
    ]);
    expect(b.centreMm[0]).toBeCloseTo((3 * 100 + 150) / 4, 9);
    expect(b.centreMm[2]).toBeCloseTo((3 * 50 + 150) / 4, 9);
    expect(b.tip.angleDeg).toBeCloseTo((Math.atan2(200 - 112.5, 75) * 180) / Math.PI, 9);
    expect(b.massByGroup).toEqual([{ group: 'boots', massG: 3000 }, { group: 'head', massG: 1000 }]); // prettier-ignore
  });

  it('says that a figure falls by itself', () => {
    const b = balanceFigure([block([50, 50, 20], [0, 0, 0], 100), block([400, 50, 20], [0, 0, 20], 1000)]); // prettier-ignore
    expect(b.onItsFeet).toBe(false);
    expect(b.tip.angleDeg).toBeLessThan(0);
    expect(b.tip.pushN).toBe(0);
  });

  it('stands on its base: the plate lifts it, weighs it down and widens the foot', () => {
    const base = { outlineMm: [[-200, -200], [200, -200], [200, 200], [-200, 200]] as [number, number][], massG: 4000, heightMm: 20 }; // prettier-ignore
    const b = balanceFigure([block([100, 100, 400], [-50, -50, 0], 4000)], {
      base,
      ceilingMm: 430,
    });
    expect(b.heightMm).toBe(420);
    expect(b.centreMm[2]).toBeCloseTo((4 * 220 + 4 * 10) / 8, 9);
    expect(b.tip.angleDeg).toBeCloseTo((Math.atan2(200, 115) * 180) / Math.PI, 9);
    expect(b.ceiling).toEqual({ mm: 430, stands: true, raised: false });
  });

  it('gives the ballast that reaches a wanted angle, by the closed form', () => {
    // Block 100 x 100 x 400 of 2 kg; ballast M at z = 0 in the middle: h = 2 * 200 / (2 + M).
    const body = block([100, 100, 400], [0, 0, 0], 2000);
    const b = balanceFigure([body], { wantedDeg: 30 });
    const M = (2 * 200) / (50 / Math.tan(Math.PI / 6)) - 2;
    expect(b.wanted?.ballastG).toBeCloseTo(1000 * M, 6);
    expect(b.wanted?.lowPartsG).toBeNull();
    const low = block([100, 100, 100], [0, 0, 0], 500, { low: { solidG: 5000, infillG: 100, infillShare: 0.1, byWalls: [3, 6, 9, 12].map((walls) => ({ walls, massG: 250 * walls })) } }); // prettier-ignore
    const both = balanceFigure([low, block([100, 100, 300], [0, 0, 100], 1500)], { wantedDeg: 20 });
    // h = (m z + M 50) / (m + M) with m z = 0.5 * 50 + 1.5 * 250.
    const h = 50 / Math.tan((20 * Math.PI) / 180);
    expect(both.wanted?.lowPartsG).toBeCloseTo((1000 * (400 - 2 * h)) / (h - 50), 5);
    expect(both.wanted?.lowPartsRoomG).toBe(4500);
    // The infill weighs 1 kg at a share of 1: M = 1 (share - 0.1) kg, and walls 250 g each: the next step up.
    const M20 = (400 - 2 * h) / (h - 50);
    expect(M20).toBeGreaterThan(0.9);
    expect(both.wanted?.lowPartsInfill).toBeNull();
    expect(both.wanted?.lowPartsWalls).toBe([3, 6, 9, 12].find((n) => n / 4 - 0.5 >= M20));
    const h17 = 50 / Math.tan((17 * Math.PI) / 180);
    const easier = balanceFigure([low, block([100, 100, 300], [0, 0, 100], 1500)], {
      wantedDeg: 17,
    });
    expect(easier.wanted?.lowPartsInfill).toBeCloseTo(0.1 + (400 - 2 * h17) / (h17 - 50), 6);
    expect(easier.wanted?.lowPartsWalls).toBe(6);
    expect(balanceFigure([low], { wantedDeg: 80 }).wanted?.lowPartsG).toBeNull();
    expect(balanceFigure([low], { wantedDeg: 10 }).wanted).toMatchObject({ lowPartsG: 0, ballastG: 0 }); // prettier-ignore
  });

  it('finds the least whole number of walls by halving, and says when 50 are too few', () => {
    // Walls of 40 g each, two of them now: M = 40 (n - 2) g at 50 mm must bring the height to h.
    const at = (wantedDeg: number) => {
      const top = block([100, 100, 300], [0, 0, 100], 1500);
      const low = (byWalls: readonly { walls: number; massG: number }[]) => block([100, 100, 100], [0, 0, 0], 500, { low: { solidG: 9000, infillG: 0, infillShare: 0, byWalls } }); // prettier-ignore
      let wanted = balanceFigure([low([]), top], { wantedDeg }).wanted!;
      for (let n = wallsToTry(wanted, 2); n !== null; n = wallsToTry(wanted, 2)) {
        const tried = [...wanted.wallsTried, n].sort((a, b) => a - b);
        wanted = balanceFigure([low(tried.map((walls) => ({ walls, massG: 500 + 40 * (walls - 2) }))), top], { wantedDeg }).wanted!; // prettier-ignore
      }
      return wanted;
    };
    for (const deg of [15, 16, 17, 18, 19]) {
      const h = 50 / Math.tan((deg * Math.PI) / 180);
      const M = (400 - 2 * h) / (h - 50);
      const { lowPartsWalls, wallsTried } = at(deg);
      expect(lowPartsWalls).toBe(M <= 0 ? null : 2 + Math.ceil((1000 * M) / 40));
      // Halving 3 to 50 takes six steps at most, and the 50 itself.
      expect(wallsTried.length).toBeLessThanOrEqual(7);
    }
    expect(at(25)).toMatchObject({ lowPartsWalls: null, wallsTried: [50] });
  });

  it('refuses a figure without a foot', () => {
    const rod = {
      ...block([1, 1, 1], [0, 0, 0], 1),
      points: Float64Array.from([0, 0, 0, 0, 0, 100]),
    };
    expect(() => balanceFigure([rod])).toThrow(expect.objectContaining({ code: 'NO_FOOT' }));
  });
});
