import { describe, expect, it } from 'vitest';
import {
  CompensatedSum,
  frameOf,
  matrixToQuat,
  quatFromTurnsDeg,
  quatToMatrix,
  rotate,
  seededRandom,
  turnsXyzDeg,
  dot,
  cross,
  type Vec3,
} from '../src/math/index.ts';

describe('rotations', () => {
  it('turns about the fixed axes X, then Y, then Z', () => {
    // By hand: Y up after +90 about X is Z; then 90 about Y brings Z to X; then 90 about Z to Y.
    const m = quatToMatrix(quatFromTurnsDeg([90, 90, 90]));
    const p = rotate(m, [0, 1, 0]);
    [0, 1, 0].forEach((x, i) => expect(p[i]).toBeCloseTo(x, 12));
  });

  it('gives back the rotation from its turns, poles included', () => {
    const random = seededRandom(7);
    for (let i = 0; i < 500; i++) {
      const turns: Vec3 = [
        360 * random() - 180,
        i % 5 === 0 ? (i % 2 ? 90 : -90) : 180 * random() - 90,
        360 * random() - 180,
      ];
      const m = quatToMatrix(quatFromTurnsDeg(turns));
      const again = quatToMatrix(quatFromTurnsDeg(turnsXyzDeg(m)));
      m.forEach((x, k) => expect(again[k]).toBeCloseTo(x, 7));
      const q = quatToMatrix(matrixToQuat(m));
      m.forEach((x, k) => expect(q[k]).toBeCloseTo(x, 12));
    }
  });

  it('keeps its digits close to the poles', () => {
    for (const y of [90, -90, 89.9999, -89.9999, 90 - 1e-7])
      expect(turnsXyzDeg(quatToMatrix(quatFromTurnsDeg([0, y, 0])))[1]).toBeCloseTo(y, 8);
  });

  it('makes a right-handed frame about any direction', () => {
    for (const n of [
      [0, 0, 1],
      [0, 0, -1],
      [1, 0, 0],
      [0.6, 0, -0.8],
    ] as Vec3[]) {
      const { u, v } = frameOf(n);
      const w = cross(u, v);
      n.forEach((x, i) => expect(w[i]).toBeCloseTo(x, 14));
      expect(dot(u, v)).toBeCloseTo(0, 14);
    }
  });
});

describe('CompensatedSum', () => {
  it('keeps small terms beside large ones that cancel', () => {
    const sum = new CompensatedSum();
    [1, 1e100, 1, -1e100].forEach((x) => sum.add(x));
    expect(sum.value).toBe(2);
  });
});
