import { describe, expect, it } from 'vitest';
import {
  boxDistanceToHole,
  CLEARANCE_PRECISION_MM,
  distanceToHole,
  triangleDistanceToHole,
  type Hole,
} from '../../src/join/clearance.ts';
import { segmentDistance } from '../../src/join/obstacles.ts';
import { makeSkin } from '../../src/join/skin.ts';
import { seededRandom, type Vec3 } from '../../src/math/index.ts';
import { ballMesh, boxMesh, planeFrame, torusMesh } from '../../src/mesh/index.ts';

const hole: Hole = { cx: 0, cy: 0, z0: -10, z1: 10, r: 4 };

/** Slow twin: the least over a fine barycentric raster of the triangle. */
function sampled(h: Hole, t: readonly number[], n = 160): number {
  let best = Infinity;
  for (let i = 0; i <= n; i++)
    for (let j = 0; i + j <= n; j++) {
      const [a, b, c] = [i / n, j / n, (n - i - j) / n];
      const at = (k: number): number =>
        a * (t[k] as number) + b * (t[k + 3] as number) + c * (t[k + 6] as number);
      best = Math.min(best, distanceToHole(h, at(0), at(1), at(2)));
    }
  return best;
}

describe('triangleDistanceToHole', () => {
  it('meets closed forms: wall beside, floor below, rim over the corner', () => {
    // Distances by hand: |x| - r; |z| - 10; hypot of both past the rim.
    const wall = [9, -50, -50, 9, 50, -50, 9, 0, 90];
    expect(triangleDistanceToHole(hole, wall)).toBeCloseTo(5, 4);
    const floor = [-50, -50, -17, 50, -50, -17, 0, 90, -17];
    expect(triangleDistanceToHole(hole, floor)).toBeCloseTo(7, 4);
    const slope = [7, 0, 14, 7, 30, 14, 30, 0, 20];
    expect(triangleDistanceToHole(hole, slope)).toBeCloseTo(5, 4);
    const through = [-50, -50, 1, 50, -50, 1, 0, 90, 1];
    expect(triangleDistanceToHole(hole, through)).toBe(0);
  });

  it('is never above nor more than the precision below a fine raster, on 300 random triangles (seed 5)', () => {
    const random = seededRandom(5);
    let far = 0;
    for (let k = 0; k < 300; k++) {
      const t = Array.from({ length: 9 }, () => 60 * random() - 30);
      const exact = triangleDistanceToHole(hole, t);
      const raster = sampled(hole, t);
      // The raster's cell is at most 104 / 160 mm wide, so it can miss the least by half a mm.
      expect(exact).toBeLessThanOrEqual(raster + 2 * CLEARANCE_PRECISION_MM);
      expect(exact).toBeGreaterThanOrEqual(raster - 0.7);
      if (exact > 1) far++;
    }
    expect(far).toBeGreaterThan(50);
  });
});

describe('boxDistanceToHole', () => {
  it('never exceeds the distance to a point of the box', () => {
    const random = seededRandom(11);
    for (let k = 0; k < 500; k++) {
      const c = Array.from({ length: 6 }, () => 60 * random() - 30);
      const [x0, x1] = [Math.min(c[0]!, c[1]!), Math.max(c[0]!, c[1]!)];
      const [y0, y1] = [Math.min(c[2]!, c[3]!), Math.max(c[2]!, c[3]!)];
      const [z0, z1] = [Math.min(c[4]!, c[5]!), Math.max(c[4]!, c[5]!)];
      const bound = boxDistanceToHole(hole, x0, y0, z0, x1, y1, z1);
      const [x, y, z] = [
        x0 + random() * (x1 - x0),
        y0 + random() * (y1 - y0),
        z0 + random() * (z1 - z0),
      ];
      expect(bound).toBeLessThanOrEqual(distanceToHole(hole, x, y, z) + 1e-12);
    }
  });
});

describe('makeSkin', () => {
  it('finds the same distance as every facet asked in turn (seed 3)', () => {
    const mesh = torusMesh(60, 20, 60, 30);
    const normal: Vec3 = [0.6, 0, 0.8];
    const frame = planeFrame({ normal, offsetMm: 4 });
    const skin = makeSkin(mesh, frame, 500);
    const corner = (i: number): number[] => {
      const p = [0, 1, 2].map((k) => (mesh.positions[3 * i + k] as number) - frame.origin[k]!);
      return [frame.u, frame.v, frame.normal].map(
        (a) => a[0] * p[0]! + a[1] * p[1]! + a[2] * p[2]!,
      );
    };
    const facets = Array.from({ length: mesh.triangles.length / 3 }, (_, f) =>
      [0, 1, 2].flatMap((k) => corner(mesh.triangles[3 * f + k] as number)),
    );
    const random = seededRandom(3);
    for (let k = 0; k < 25; k++) {
      const h: Hole = {
        cx: 160 * random() - 80,
        cy: 160 * random() - 80,
        z0: -15 * random(),
        z1: 15 * random(),
        r: 1 + 4 * random(),
      };
      const slow = Math.min(...facets.map((t) => triangleDistanceToHole(h, t)));
      const fast = skin.distance(h, 1000);
      expect(Math.abs(fast - slow)).toBeLessThanOrEqual(2 * CLEARANCE_PRECISION_MM);
      expect(skin.clear(h, slow + 0.01)).toBe(false);
      if (slow > 0.1) expect(skin.clear(h, slow - 0.01)).toBe(true);
    }
  });

  it('knows the wall in a ball: radius less the distance of the far rim', () => {
    const skin = makeSkin(ballMesh(50, 6), planeFrame({ normal: [0, 0, 1], offsetMm: 0 }), 60);
    const wall = skin.distance({ cx: 20, cy: 0, z0: -20, z1: 20, r: 5 });
    // hypot(20 + 5, 20) from the middle; facets of this ball lie up to 0.004 mm inside it.
    expect(50 - Math.hypot(25, 20) - wall).toBeGreaterThanOrEqual(0);
    expect(50 - Math.hypot(25, 20) - wall).toBeLessThan(0.01);
  });

  it('looks only as far as the deepest hole, and misses nothing there', () => {
    const skin = makeSkin(
      boxMesh([100, 60, 200]),
      planeFrame({ normal: [0, 0, 1], offsetMm: 190 }),
      40,
    );
    // 10 mm up to the top: a hole 6 mm deep leaves 4.
    expect(skin.distance({ cx: 50, cy: 30, z0: -20, z1: 6, r: 4 })).toBeCloseTo(4, 3);
  });
});

describe('segmentDistance', () => {
  it('meets closed forms', () => {
    // Crossing at right angles 3 apart; parallel 4 apart; end to end with a gap of 5 (3-4-5).
    expect(segmentDistance([-5, 0, 0], [5, 0, 0], [0, -5, 3], [0, 5, 3])).toBeCloseTo(3, 12);
    expect(segmentDistance([0, 0, 0], [9, 0, 0], [-7, 4, 0], [20, 4, 0])).toBeCloseTo(4, 12);
    expect(segmentDistance([0, 0, 0], [1, 0, 0], [4, 4, 0], [9, 9, 0])).toBeCloseTo(5, 12);
  });
});
