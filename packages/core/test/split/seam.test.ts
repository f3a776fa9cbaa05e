import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/math/index.ts';
import { boxMesh, cylinderMesh, flipTriangles, joinMeshes, prismMesh, torusMesh, type Mesh } from '../../src/mesh/index.ts'; // prettier-ignore
import { bodyFrom, clipBody, skinPoints, type Body } from '../../src/split/body.ts';
import { sectionArea } from '../../src/split/mass.ts';
import { outlineWithin, seamOf, type SidedPlane } from '../../src/split/seam.ts';
import { readySweep, sweepBody } from '../../src/split/sweep.ts';

const at = (offsetMm: number) => ({ normal: [0, 0, 1] as Vec3, offsetMm });
const seam = (mesh: Mesh, within: readonly SidedPlane[] = [], z = 5) =>
  seamOf(outlineWithin(mesh, at(z), within, null), at(z), true);

const hollow = (outer: Mesh, inner: Mesh): Mesh =>
  joinMeshes([outer, { ...inner, triangles: flipTriangles(inner.triangles) }]);

describe('figures of a cut face', () => {
  it('are those of the handbook for box, tube and I-section (section moduli: b h^2 / 6; pi (D^4 - d^4) / 32 D; (B H^3 - b h^3) / 6 H)', () => {
    const box = seam(boxMesh([20, 30, 10]));
    expect(box.areaMm2).toBeCloseTo(600, 9);
    expect(box.lengthMm).toBeCloseTo(100, 9);
    // W about an axis turned by t: (b h / 6) (b^2 c^2 + h^2 s^2) / (b c + h s); the least over t.
    let least = Infinity;
    for (let t = 0; t <= Math.PI / 2; t += 1e-5) {
      const u = 20 * Math.cos(t);
      const v = 30 * Math.sin(t);
      least = Math.min(least, (100 * (u * u + v * v)) / (u + v));
    }
    expect(box.sectionModulusMm3).toBeGreaterThan(least * (1 - 1e-9));
    expect(box.sectionModulusMm3).toBeLessThan(least * 1.002);

    const n = 720;
    const tube = seam(hollow(cylinderMesh(30, 10, n), cylinderMesh(25, 10, n)));
    expect(tube.areaMm2 as number).toBeCloseTo(Math.PI * (900 - 625), 0);
    expect(tube.sectionModulusMm3).toBeCloseTo((Math.PI * (60 ** 4 - 50 ** 4)) / 32 / 60, -1);
    expect(tube.meanThicknessMm).toBeCloseTo(5, 2);
    expect(tube.regions).toBe(1);
    expect(tube.lengthMm).toBeCloseTo(2 * Math.PI * 30, 1);
    expect(tube.innerMm).toBeCloseTo(2 * Math.PI * 25, 1);

    // I-section 40 wide, 60 high, flanges 8, web 6, as three boxes side by side in the cut.
    const i = joinMeshes([
      boxMesh([40, 8, 10], [-20, 0, 0]),
      boxMesh([6, 44, 10], [-3, 8, 0]),
      boxMesh([40, 8, 10], [-20, 52, 0]),
    ]);
    const figures = seam(i);
    expect(figures.areaMm2).toBeCloseTo(2 * 40 * 8 + 6 * 44, 9);
    // The weak axis runs along the web: (2 t B^3 + h w^3) / 12 over B / 2.
    const weak = (2 * 8 * 40 ** 3 + 44 * 6 ** 3) / 12 / 20;
    expect(figures.sectionModulusMm3 as number).toBeLessThanOrEqual(weak * (1 + 1e-9));
    expect(figures.sectionModulusMm3 as number).toBeGreaterThan(0.85 * weak);
  });

  it('counts regions of what earlier cuts left', () => {
    const ring = torusMesh(50, 10, 48, 24);
    const x = (offsetMm: number) => ({ normal: [1, 0, 0] as Vec3, offsetMm });
    expect(seam(ring, [], 0.1).regions).toBe(1);
    expect(seam(ring, [{ plane: x(10), side: 'below' }, { plane: x(-10), side: 'above' }], 0.1).regions).toBe(2); // prettier-ignore
    // Beside the ring there is nothing, and that is known; of an open mesh it is not.
    const beside = [{ plane: x(70), side: 'above' }] as const;
    expect(seam(ring, beside, 0.1)).toMatchObject({ areaMm2: 0, regions: 0, centroidMm: null });
    expect(seamOf(outlineWithin(ring, at(0.1), beside, null), at(0.1), false).areaMm2).toBeNull();
  });

  it('agree with the chain of facets on random cuts of a cut body', () => {
    const star = prismMesh([[0, 0], [30, 5], [42, 30], [20, 45], [-5, 25]], 40); // prettier-ignore
    const mesh = hollow(star, { ...star, positions: star.positions.map((v, i) => v * 0.5 + [9, 10, 8][i % 3]!) }); // prettier-ignore
    fc.assert(
      fc.property(fc.double({ min: 0.1, max: 3 }), fc.double({ min: 5, max: 30, noNaN: true }), fc.double({ min: 2, max: 38 }), (angle, offset, z) => {
        const bound = { normal: [Math.cos(angle), Math.sin(angle), 0] as Vec3, offsetMm: offset };
        for (const side of ['below', 'above'] as const) {
          const part = clipBody(bodyFrom(mesh), bound.normal, offset)[side];
          if (!part) continue;
          const mine = seam(mesh, [{ plane: bound, side }], z).areaMm2 ?? 0;
          expect(mine).toBeCloseTo(Math.max(0, sectionArea(part, at(z))), 6);
        }
      }),
      { seed: 2, numRuns: 60 },
    ); // prettier-ignore
  });
});

describe('a sweep', () => {
  it('gives at each offset what a single section gives', () => {
    const mesh = torusMesh(50, 12, 30, 14);
    const normal: Vec3 = [0.48, 0.6, 0.64];
    const body = clipBody(bodyFrom(mesh), [1, 0, 0], 13).below as Body;
    const sweep = sweepBody(readySweep(body, [[1, 0, 0], [0, 1, 0], normal], null), normal, 23);
    sweep.offsetsMm.forEach((offsetMm, k) => {
      expect(sweep.areaMm2[k]).toBeCloseTo(sectionArea(body, { normal, offsetMm }), 6);
      const loops = outlineWithin(mesh, { normal, offsetMm }, [{ plane: { normal: [1, 0, 0], offsetMm: 13 }, side: 'below' }], null); // prettier-ignore
      const figures = seamOf(loops, { normal, offsetMm }, true);
      expect(sweep.lengthMm[k]).toBeCloseTo(figures.lengthMm + figures.innerMm, 6);
      // Widths of both sides: those of the carried-out cut.
      const { below, above } = clipBody(body, normal, offsetMm);
      for (const [side, widths] of [[below, sweep.belowMm], [above, sweep.aboveMm]] as const)
        [0, 1, 2].forEach((axis) => {
          const d = [[1, 0, 0], [0, 1, 0], normal][axis] as Vec3;
          const points = skinPoints(side as Body);
          const h = Array.from({ length: points.length / 3 }, (_, i) =>
            d.reduce((s, c, j) => s + c * (points[3 * i + j] as number), 0),
          );
          expect(widths[3 * k + axis]).toBeCloseTo(Math.max(...h) - Math.min(...h), 9);
        });
    }); // prettier-ignore
  });
});
