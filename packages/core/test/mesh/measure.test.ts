import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  boxMesh,
  cornerTetrahedron,
  flipTriangles,
  joinMeshes,
  massOfTriangles,
  massProperties,
  meshFrom,
  scaleMesh,
  torusMesh,
  transformMesh,
  type Mesh,
} from '../../src/mesh/index.ts';
import {
  multiplyMat3,
  normalizeQuat,
  quatToMatrix,
  rotate,
  transpose,
  type Mat3,
} from '../../src/math/index.ts';
import { hullMesh, REGULAR_NAMES, regularSolid, type RegularName } from './regular.ts';

const close = (got: number, want: number, relative = 1e-12): void =>
  expect(Math.abs(got - want)).toBeLessThanOrEqual(relative * Math.max(1, Math.abs(want)));
const closeAll = (got: readonly number[], want: readonly number[], relative = 1e-12): void =>
  want.forEach((w, i) => close(got[i] as number, w, relative));

describe('massProperties against closed forms', () => {
  test('a box of 2 x 3 x 4 has volume abc and inertia m(b2 + c2)/12', () => {
    const m = massProperties(boxMesh([2, 3, 4], [10, -20, 5]));
    close(m.volumeMm3, 24);
    close(m.areaMm2, 52);
    closeAll(m.centreMm, [11, -18.5, 7]);
    closeAll(m.inertiaMm5, [50, 0, 0, 0, 40, 0, 0, 0, 26]);
  });

  // Closed forms of the regular solids, edge 1; the inertia per mass is the same about every axis.
  const phi = (1 + Math.sqrt(5)) / 2;
  const known: Record<RegularName, [number, number, number]> = {
    tetrahedron: [Math.SQRT2 / 12, Math.sqrt(3), 1 / 20],
    octahedron: [Math.SQRT2 / 3, 2 * Math.sqrt(3), 1 / 10],
    icosahedron: [(5 * (3 + Math.sqrt(5))) / 12, 5 * Math.sqrt(3), phi ** 2 / 10],
    dodecahedron: [(15 + 7 * Math.sqrt(5)) / 4, 20.6457288071, (39 * phi + 28) / 150],
  };
  test.each(REGULAR_NAMES)('a regular %s of edge 1', (name) => {
    const m = massProperties(regularSolid(name));
    const [volume, area, perMass] = known[name];
    close(m.volumeMm3, volume);
    close(m.areaMm2, area, 1e-10);
    const k = perMass * volume;
    closeAll(m.inertiaMm5, [k, 0, 0, 0, k, 0, 0, 0, k]);
  });

  test('the corner tetrahedron 3, 2, 1 has volume 1, area 9 and the tensor of the text books', () => {
    const m = massProperties(cornerTetrahedron(3, 2, 1));
    close(m.volumeMm3, 1);
    close(m.areaMm2, 9);
    closeAll(m.centreMm, [0.75, 0.5, 0.25]);
    closeAll(m.inertiaMm5, [0.1875, 0.075, 0.0375, 0.075, 0.375, 0.025, 0.0375, 0.025, 0.4875]);
  });

  test("Tonon's published tetrahedron (J. Math. & Stat. 1, 2005, 8-11)", () => {
    // The paper prints two of the products in each other's place; the tensor here is the exact one.
    const m = massProperties(
      hullMesh([
        [8.3322, -11.86875, 0.93355],
        [0.75523, 5, 16.37072],
        [52.61236, 5, -5.3858],
        [2, 5, 3],
      ]),
    );
    close(m.volumeMm3, 1873.2333642, 1e-10);
    closeAll(m.centreMm, [15.92495, 0.78281, 3.72962], 1e-5);
    closeAll(
      [0, 1, 2, 4, 5, 8].map((i) => m.inertiaMm5[i] as number),
      [43520.33329, -11996.20139, 46343.16738, 194711.29259, -4417.66157, 191168.76489],
      1e-7,
    );
  });

  test('a torus: 2 pi2 R r2 and its inertia in the limit of fine facets', () => {
    // The faceted torus is inscribed, so a fixed tolerance would say little; that the error goes
    // to zero with the square of the facet's size says all of it.
    const R = 5;
    const r = 1;
    const errors = [64, 128, 256].map((n) => {
      const m = massProperties(torusMesh(R, r, n, n));
      const volume = 2 * Math.PI ** 2 * R * r * r;
      const axis = volume * (R * R + 0.75 * r * r);
      const across = volume * ((R * R) / 2 + 0.625 * r * r);
      return [
        m.volumeMm3 / volume - 1,
        m.areaMm2 / (4 * Math.PI ** 2 * R * r) - 1,
        m.inertiaMm5[8] / axis - 1,
        m.inertiaMm5[0] / across - 1,
      ];
    });
    for (let k = 0; k < 4; k++) {
      const [coarse, middle, fine] = errors.map((e) => e[k] as number) as [number, number, number];
      expect(fine).toBeLessThan(0); // inscribed
      expect(Math.abs(fine)).toBeLessThan(8e-4);
      // Second order in the facet size: halving it quarters the error.
      expect(coarse / middle).toBeCloseTo(4, 1);
      expect(middle / fine).toBeCloseTo(4, 1);
    }
  });
});

describe('massProperties as a measure', () => {
  const body = joinMeshes([cornerTetrahedron(30, 20, 10), boxMesh([5, 6, 7], [40, 40, 40])]);

  test('turning and moving a body turns its tensor and keeps the rest', () => {
    const at = massProperties(body);
    fc.assert(
      fc.property(
        fc.tuple(...Array.from({ length: 4 }, () => fc.double({ min: -1, max: 1, noNaN: true }))),
        fc.tuple(
          ...Array.from({ length: 3 }, () => fc.double({ min: -500, max: 500, noNaN: true })),
        ),
        (q, t) => {
          const R: Mat3 = quatToMatrix(normalizeQuat(q as [number, number, number, number]));
          const move = t as [number, number, number];
          const m = massProperties(transformMesh(body, R, move));
          close(m.volumeMm3, at.volumeMm3, 1e-11);
          close(m.areaMm2, at.areaMm2, 1e-11);
          closeAll(
            m.centreMm,
            rotate(R, at.centreMm).map((x, i) => x + (move[i] as number)),
            1e-10,
          );
          const want = multiplyMat3(R, multiplyMat3(at.inertiaMm5, transpose(R)));
          const size = at.inertiaMm5[0];
          want.forEach((w, i) =>
            expect(Math.abs((m.inertiaMm5[i] as number) - w)).toBeLessThan(1e-10 * size),
          );
        },
      ),
      { seed: 11, numRuns: 60 },
    );
  });

  test.each([1e-6, 25.4, 1e6])('scaling by %s goes with the powers 3, 2, 1 and 5', (k) => {
    const a = massProperties(body);
    const b = massProperties(scaleMesh(body, k));
    expect(b.volumeMm3 / a.volumeMm3 / k ** 3).toBeCloseTo(1, 12);
    expect(b.areaMm2 / a.areaMm2 / k ** 2).toBeCloseTo(1, 12);
    expect(b.centreMm[0] / a.centreMm[0] / k).toBeCloseTo(1, 12);
    expect(b.inertiaMm5[4] / a.inertiaMm5[4] / k ** 5).toBeCloseTo(1, 12);
  });

  test('a body 10 km from the origin loses no digits to the distance', () => {
    const far = massProperties(boxMesh([1, 1, 1], [1e7, -1e7, 1e7]));
    close(far.volumeMm3, 1);
    close(far.inertiaMm5[0], 1 / 6);
  });

  test('an inside-out body has negative volume and the same area and centre', () => {
    const a = massProperties(body);
    const b = massProperties({ ...body, triangles: flipTriangles(body.triangles) });
    close(b.volumeMm3, -a.volumeMm3);
    close(b.areaMm2, a.areaMm2);
    closeAll(b.centreMm, a.centreMm);
    close(b.inertiaMm5[0], -a.inertiaMm5[0]);
  });

  test('listed facets measure the part of the mesh they make', () => {
    const m = massOfTriangles(body, [4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15]);
    close(m.volumeMm3, 210);
  });

  test('an empty mesh measures nothing and has finite numbers throughout', () => {
    const empty: Mesh = meshFrom([], []);
    const m = massProperties(empty);
    expect([m.volumeMm3, m.areaMm2, ...m.centreMm, ...m.inertiaMm5].every((x) => x === 0)).toBe(
      true,
    );
  });
});
