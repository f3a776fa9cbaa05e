import { describe, expect, it } from 'vitest';
import { convexHull } from '../../src/hull/index.ts';
import {
  boxMesh,
  cylinderMesh,
  massProperties,
  meshFrom,
  type Mesh,
} from '../../src/mesh/index.ts';
import { bedLimit, largestInscribedCircle, restingFaces, tipDeg } from '../../src/orient/index.ts';
import { contactOf } from '../../src/orient/contact.ts';
import { growthOf } from '../../src/orient/growth.ts';
import { bodyOf, turn } from '../../src/orient/turned.ts';
import type { Vec3 } from '../../src/math/index.ts';

const phi = (1 + Math.sqrt(5)) / 2;
const signs = [-1, 1];
/** Hull of points as a mesh: the regular solids from their vertices. */
const solid = (points: Vec3[]): Mesh => convexHull(Float64Array.from(points.flat()));
const cyclic = ([a, b, c]: Vec3): Vec3[] => [[a, b, c], [b, c, a], [c, a, b]]; // prettier-ignore
const cube = signs.flatMap((x) => signs.flatMap((y) => signs.map((z): Vec3 => [x, y, z])));
const pairs = (a: number, b: number): Vec3[] =>
  signs.flatMap((s) => signs.flatMap((t) => cyclic([0, s * a, t * b])));

describe('resting faces and tip angles', () => {
  // On a face the tip angle is 90 degrees less half the dihedral angle: closed form.
  const solids: [string, Mesh, number, number][] = [
    ['tetrahedron', solid([[1, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1]]), 4, 54.73561],
    ['cube', solid(cube), 6, 45],
    ['octahedron', solid(signs.flatMap((s) => cyclic([s, 0, 0]))), 8, 35.26439],
    ['dodecahedron', solid([...cube, ...pairs(1 / phi, phi)]), 12, 31.717474],
    ['icosahedron', solid(pairs(1, phi)), 20, 20.905157],
  ]; // prettier-ignore
  const named = solids.map(([name, mesh, count, angle]) => ({ name, mesh, count, angle }));
  it.each(named)('of the regular $name are those of the closed form', ({ mesh, count, angle }) => {
    const faces = restingFaces(convexHull(mesh.positions), massProperties(mesh).centreMm);
    expect(faces).toHaveLength(count);
    for (const face of faces) expect(face.tipDeg).toBeCloseTo(angle, 5);
  });

  it('leave out a face beside which the centre of mass lies', () => {
    // A leaning prism: its small end faces are no rest.
    const leaning = meshFrom(
      [[0, 0, 0], [10, 0, 0], [10, 10, 0], [0, 10, 0], [40, 0, 30], [50, 0, 30], [50, 10, 30], [40, 10, 30]],
      [[0, 2, 1], [0, 3, 2], [4, 5, 6], [4, 6, 7], [0, 1, 5], [0, 5, 4], [1, 2, 6], [1, 6, 5], [2, 3, 7], [2, 7, 6], [3, 0, 4], [3, 4, 7]],
    ); // prettier-ignore
    const faces = restingFaces(convexHull(leaning.positions), massProperties(leaning).centreMm);
    expect(faces.some((f) => f.up[2] > 0.99)).toBe(false);
    expect(faces.length).toBeGreaterThan(1);
  });

  it('are finite on a point, on a line and beside them', () => {
    expect(tipDeg([[0, 0]], [0, 0, 10])).toBeCloseTo(0, 12);
    expect(tipDeg([[0, 0], [10, 0]], [5, 0, 10])).toBeCloseTo(0, 12); // prettier-ignore
    expect(tipDeg([[0, 0], [10, 0]], [5, 10, 10])).toBeCloseTo(-45, 9); // prettier-ignore
    expect(tipDeg([[0, 0], [10, 0], [10, 10], [0, 10]], [15, 5, 5])).toBeCloseTo(-45, 9); // prettier-ignore
  });
});

const contactOfMesh = (mesh: Mesh) => {
  const body = bodyOf(mesh, true);
  const box = turn(body, [0, 0, 1], 0);
  return { contact: contactOf(body, box, 0.05), stages: growthOf(body, box, 10) };
};
// `frameOf` of +Z is the part's own X and Y.
const plain = { axis: [0, 1] as const, densityGPerMm3: 0.00124, adhesionKpa: 0, friction: null };

describe('a part on a bed that moves, against statics with g = 9.80665 m/s2', () => {
  // Block on an accelerating base: topples at g b / h (textbook), b half the base, h the centre.
  it.each([[100, 3922.66], [60, 2353.596], [210, 8237.586]])(
    'a block of half base %d and centre at 250 topples at %d mm/s2',
    (b, expected) => {
      const { contact } = contactOfMesh(boxMesh([200, 2 * b, 500]));
      const whole = { heightMm: 500, volumeMm3: 1e6, centre: [100, b, 250] as const };
      const limit = bedLimit(contact, whole, plain);
      expect(limit.tipsAt).toBeCloseTo(expected, 3);
      // The edge of a rectangle starts to lift at a third of that (its kern is a third wide).
      expect(limit.liftsAt).toBeCloseTo(expected / 3, 3);
      expect(limit.slidesAt).toBeNull();
    },
  ); // prettier-ignore

  it('lifts the edge of a disc at g R / (4 h)', () => {
    const { contact, stages } = contactOfMesh(cylinderMesh(40, 100, 720));
    const last = stages[stages.length - 1] as (typeof stages)[number];
    const limit = bedLimit(contact, last, plain);
    expect(limit.liftsAt / ((9806.65 * 40) / (4 * 50))).toBeCloseTo(1, 2);
  });

  it('needs 4.223 kPa of adhesion for 2.4 kg at 3 m/s2, centre at 250, base 100 x 200', () => {
    // Edge tension 6 m a h / (by bx^2) - m g / (bx by) = 5.400 - 1.177 kPa, by hand.
    const { contact } = contactOfMesh(boxMesh([200, 100, 500]));
    const whole = { heightMm: 500, volumeMm3: 1e7, centre: [100, 50, 250] as const };
    const limit = bedLimit(contact, whole, { ...plain, densityGPerMm3: 2400 / 1e7, adhesionKpa: 4.2232 });
    expect(limit.liftsAt).toBeCloseTo(3000, 0);
  }); // prettier-ignore

  it('slides before it topples when friction is below b / h', () => {
    const { contact } = contactOfMesh(boxMesh([50, 50, 50]));
    const whole = { heightMm: 50, volumeMm3: 125e3, centre: [25, 25, 25] as const };
    const limit = bedLimit(contact, whole, { ...plain, friction: 0.4 });
    expect(limit.slidesAt).toBeCloseTo(0.4 * 9806.65, 6);
    expect(limit.slidesAt as number).toBeLessThan(limit.tipsAt);
  });
});

describe('the growing part', () => {
  it('has the volume and the centre of a block at every height', () => {
    const { stages } = contactOfMesh(boxMesh([30, 20, 50]));
    expect(stages).toHaveLength(10);
    stages.forEach((s, k) => {
      expect(s.heightMm).toBeCloseTo(5 * (k + 1), 9);
      expect(Math.abs(s.volumeMm3 / (600 * s.heightMm) - 1)).toBeLessThan(0.03);
      expect(s.centre[2]).toBeCloseTo(s.heightMm / 2, 9);
      expect(s.centre[0]).toBeCloseTo(15, 0);
    });
  });
});

describe('contact with the plate', () => {
  it('has the area and the moments of a rectangle and of a disc', () => {
    const { contact } = contactOfMesh(boxMesh([30, 20, 5], [100, 200, 0]));
    expect(contact.rests).toBe('face');
    expect(contact.areaMm2).toBeCloseTo(600, 9);
    expect(contact.middle[0]).toBeCloseTo(115, 9);
    const [xx, xy, yy] = contact.momentsMm4;
    expect(xx).toBeCloseTo((20 * 30 ** 3) / 12, 5);
    expect(yy).toBeCloseTo((30 * 20 ** 3) / 12, 5);
    expect(xy).toBeCloseTo(0, 5);
    expect(contact.circle.radiusMm).toBeCloseTo(10, 5);
  });

  it('holds the largest circle of a ring, of an L and of two patches', () => {
    const ring = (r: number, n = 180) =>
      Array.from({ length: n }, (_, i) => {
        const a = (2 * Math.PI * i) / n;
        const b = (2 * Math.PI * (i + 1)) / n;
        return [r * Math.cos(a), r * Math.sin(a), r * Math.cos(b), r * Math.sin(b)] as const;
      });
    expect(largestInscribedCircle([...ring(30), ...ring(20)]).radiusMm / 5).toBeGreaterThan(0.97);
    expect(largestInscribedCircle([...ring(30), ...ring(20)]).radiusMm).toBeLessThanOrEqual(5);
    const path = (points: [number, number][]) =>
      points.map((p, i) => [...p, ...(points[(i + 1) % points.length] as [number, number])] as unknown as readonly [number, number, number, number]);
    // An L of arms 10 wide: the circle in its corner touches both outer sides and the inner corner:
    // r (1 + 1/sqrt2) = 10 (1 + ... ) solved by hand: r = 10 sqrt2 / (1 + sqrt2) * ... = 20 - 10 sqrt2.
    const ell = path([[0, 0], [40, 0], [40, 10], [10, 10], [10, 40], [0, 40]]);
    expect(largestInscribedCircle(ell).radiusMm).toBeCloseTo(20 - 10 * Math.SQRT2, 4);
    const patches = [...path([[0, 0], [4, 0], [4, 4], [0, 4]]), ...path([[50, 0], [57, 0], [57, 9], [50, 9]])];
    expect(largestInscribedCircle(patches).radiusMm).toBeCloseTo(3.5, 4);
    expect(largestInscribedCircle([])).toEqual({ centre: [0, 0], radiusMm: 0 });
  }); // prettier-ignore
});
