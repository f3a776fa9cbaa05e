import { describe, expect, it } from 'vitest';
import { quatFromTurnsDeg, quatToMatrix, rotate, unit, type Vec3 } from '../../src/math/index.ts';
import {
  ballMesh,
  boxMesh,
  cylinderMesh,
  joinMeshes,
  meshFrom,
  scaleMesh,
  torusMesh,
  transformMesh,
  type Mesh,
} from '../../src/mesh/index.ts';
import { evaluateSupports } from '../../src/orient/index.ts';
import { bodyOf } from '../../src/orient/turned.ts';

const Z: Vec3 = [0, 0, 1];
const volume = (mesh: Mesh, up: Vec3 = Z, selfSupportDeg = 45): number =>
  evaluateSupports(bodyOf(mesh, true), up, { selfSupportDeg }).volumeMm3;
const unitOf = (v: Vec3): Vec3 => unit(v) as Vec3;

/** Ball on the plate: the cap within t = 90 - theta of straight down, integrated by hand:
 *  pi r^3 (sin^2 t - (2/3)(1 - cos^3 t)). */
const ballSupports = (r: number, thetaDeg: number): number => {
  const t = ((90 - thetaDeg) * Math.PI) / 180;
  return Math.PI * r ** 3 * (Math.sin(t) ** 2 - (2 / 3) * (1 - Math.cos(t) ** 3));
};

/** A cone on its tip, half angle `beta`, closed by a fan on top. */
function cone(beta: number, height: number, sides = 256): Mesh {
  const r = height * Math.tan(beta);
  const rim = Array.from({ length: sides }, (_, i): Vec3 => {
    const a = (2 * Math.PI * i) / sides;
    return [r * Math.cos(a), r * Math.sin(a), height];
  });
  return meshFrom(
    [[0, 0, 0], [0, 0, height], ...rim],
    rim.flatMap((_, i): [number, number, number][] => {
      const a = 2 + i;
      const b = 2 + ((i + 1) % sides);
      return [[0, b, a], [1, a, b]]; // prettier-ignore
    }),
  );
}

const octahedron = meshFrom(
  [[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]],
  [[0, 2, 4], [2, 1, 4], [1, 3, 4], [3, 0, 4], [2, 0, 5], [1, 2, 5], [3, 1, 5], [0, 3, 5]],
); // prettier-ignore

describe('support volume against closed forms', () => {
  it('is that of the cap under a ball, at three self-support angles', () => {
    // Decimals of the formula, recomputed: 0.2168817141, 0.0513525842, 0.5235987756.
    expect(ballSupports(1, 45)).toBeCloseTo(0.2168817141, 9);
    expect(ballSupports(1, 60)).toBeCloseTo(0.0513525842, 9);
    expect(ballSupports(1, 30)).toBeCloseTo(0.5235987756, 9);
    const mesh = ballMesh(10, 6);
    for (const theta of [45, 60, 30])
      expect(Math.abs(volume(mesh, Z, theta) / ballSupports(10, theta) - 1)).toBeLessThan(0.01);
  });

  it('comes closer to the ball the finer the facets are', () => {
    const error = (level: number): number =>
      Math.abs(volume(ballMesh(10, level)) / ballSupports(10, 45) - 1);
    expect(error(3)).toBeLessThan(0.1);
    expect(error(6)).toBeLessThan(error(4) / 2);
    expect(error(4)).toBeLessThan(error(3));
  });

  it('is that of a lying cylinder: r^2 (2 sin t - t - sin t cos t) per length', () => {
    const mesh = cylinderMesh(10, 50, 720);
    const t = Math.PI / 4;
    const perLength = 100 * (2 * Math.sin(t) - t - Math.sin(t) * Math.cos(t));
    expect(perLength).toBeCloseTo(12.8815399, 6);
    expect(Math.abs(volume(mesh, [1, 0, 0]) / (50 * perLength) - 1)).toBeLessThan(0.01);
  });

  it('is two thirds of the cylinder around a wide cone on its tip, and nothing for a steep one', () => {
    const wide = (2 / 3) * Math.PI * (20 * Math.tan(1)) ** 2 * 20;
    expect(Math.abs(volume(cone(1, 20)) / wide - 1)).toBeLessThan(0.001);
    expect(volume(cone(0.7, 20))).toBe(0);
  });

  it('lets a face exactly at the limit carry itself: a cube on an edge', () => {
    const cube = boxMesh([10, 10, 10]);
    for (const turns of [
      [45, 0, 0],
      [0, 45, 0],
      [45, 0, 33],
    ] as const) {
      const m = quatToMatrix(quatFromTurnsDeg(turns));
      expect(volume(transformMesh(cube, m))).toBe(0);
    }
    expect(volume(cube, unitOf([0, 1, 1]), 44.9)).toBeGreaterThan(100);
  });

  it('finds the lower faces of a cube and an octahedron on a vertex at 35.264 degrees', () => {
    const cube = boxMesh([10, 10, 10]);
    const diagonal = unitOf([1, 1, 1]);
    expect(volume(cube, diagonal, 45)).toBe(0);
    expect(volume(cube, diagonal, 35.3)).toBe(0);
    expect(volume(cube, diagonal, 35.2)).toBeGreaterThan(0);
    expect(volume(octahedron, Z, 35.3)).toBe(0);
    expect(volume(octahedron, Z, 35.2)).toBeGreaterThan(0);
    // On a face its lower side faces lean out by 19.471 degrees.
    expect(volume(octahedron, unitOf([1, 1, 1]), 19.6)).toBe(0);
    expect(volume(octahedron, unitOf([1, 1, 1]), 19.4)).toBeGreaterThan(0);
  });

  it('fills the space under a T and between stacked plates, on the part itself too', () => {
    const stem = boxMesh([10, 10, 40], [-5, -5, 0]);
    const bar = boxMesh([60, 20, 5], [-30, -10, 40]);
    expect(Math.abs(volume(joinMeshes([stem, bar])) / (40 * (1200 - 100)) - 1)).toBeLessThan(0.01);
    // A plate of 40 x 40 above one of 60 x 60, 10 apart, on a post of 10 x 10.
    const plates = joinMeshes([
      boxMesh([60, 60, 5], [-30, -30, 0]),
      boxMesh([10, 10, 10], [-5, -5, 5]),
      boxMesh([40, 40, 5], [-20, -20, 15]),
    ]);
    const found = evaluateSupports(bodyOf(plates, true), Z, { selfSupportDeg: 45 });
    expect(Math.abs(found.volumeMm3 / (10 * (1600 - 100)) - 1)).toBeLessThan(0.01);
    expect(Math.abs(found.standingOnPartMm2 / 1500 - 1)).toBeLessThan(0.02);
  });

  it('sees the narrow edges of a large thin part, half of them above a shelf', () => {
    // A wall of 500 x 1.2 x 300 on feet 100 high at its ends; a shelf below half of the gap, its
    // top at 60: 1.2 * (240 * 100 + 240 * 40) by hand.
    const wall = joinMeshes([
      boxMesh([500, 1.2, 300], [0, 0, 100]),
      boxMesh([10, 1.2, 100]),
      boxMesh([10, 1.2, 100], [490, 0, 0]),
      boxMesh([240, 200, 60], [10, -100, 0]),
    ]);
    for (const turns of [
      [0, 0, 0],
      [0, 0, 23],
    ] as const) {
      const turned = transformMesh(wall, quatToMatrix(quatFromTurnsDeg(turns)));
      expect(Math.abs(volume(turned) / (1.2 * 240 * 140) - 1)).toBeLessThan(0.01);
    }
  });

  it('asks for no support where shells run into each other, and for some inside a hollow', () => {
    const a = boxMesh([20, 20, 20]);
    const b = boxMesh([10, 10, 30], [5, 5, 5]);
    expect(volume(joinMeshes([a, b]))).toBeLessThan(1e-6);
    const hollow = joinMeshes([a, { ...boxMesh([10, 10, 6], [5, 5, 5]), triangles: flipped() }]);
    expect(Math.abs(volume(hollow) / 600 - 1)).toBeLessThan(0.01);
  });
});

const flipped = (): Uint32Array => {
  const t = boxMesh([1, 1, 1]).triangles.slice();
  for (let i = 0; i < t.length; i += 3) [t[i + 1], t[i + 2]] = [t[i + 2] as number, t[i + 1] as number]; // prettier-ignore
  return t;
};

describe('support volume as a property', () => {
  const mesh = joinMeshes([torusMesh(30, 8, 64, 32), boxMesh([8, 50, 12], [-4, -25, 20])]);
  const ups: Vec3[] = [Z, unitOf([1, 2, 3]), unitOf([-3, 1, 0.5]), unitOf([0, -1, -1])];

  it('grows by 8 when the part doubles', () => {
    for (const up of ups)
      expect(volume(scaleMesh(mesh, 2), up) / volume(mesh, up)).toBeCloseTo(8, 6);
  });

  it('stays when part and direction turn together', () => {
    const m = quatToMatrix(quatFromTurnsDeg([31, -47, 120]));
    for (const up of ups) {
      const ratio = volume(transformMesh(mesh, m, [100, -50, 7]), rotate(m, up)) / volume(mesh, up);
      expect(Math.abs(ratio - 1)).toBeLessThan(0.01);
    }
  });

  it('never grows when facets may lean out farther', () => {
    for (const up of ups) {
      const series = [20, 35, 50, 65, 80].map((theta) => volume(mesh, up, theta));
      series.forEach((v, i) =>
        expect(v).toBeLessThanOrEqual((series[i - 1] ?? Infinity) * (1 + 0.01) + 1e-9),
      );
    }
  });
});
