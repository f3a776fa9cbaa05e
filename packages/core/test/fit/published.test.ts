import { describe, expect, it } from 'vitest';
import { boxEnvelope, type Envelope } from '../../src/envelope/index.ts';
import { fitPart } from '../../src/fit/index.ts';
import { convexHull } from '../../src/hull/index.ts';
import { ballMesh, boxMesh, cylinderMesh } from '../../src/mesh/index.ts';

/** Certified interval at the given precision. */
function interval(points: Float64Array, envelope: Envelope, precision = 1e-4): [number, number] {
  const { scale } = fitPart(convexHull(points), envelope, { precision });
  expect(scale.proved).toBe(true);
  expect(scale.atMost / scale.atLeast - 1).toBeLessThanOrEqual(precision * 1.0001);
  return [scale.atLeast, scale.atMost];
}

function expectScale(points: Float64Array, envelope: Envelope, truth: number, slack = 2e-7): void {
  const [atLeast, atMost] = interval(points, envelope);
  expect(atLeast).toBeLessThanOrEqual(truth * (1 + slack));
  expect(atMost).toBeGreaterThanOrEqual(truth * (1 - slack));
}

const cube = (s: number): Envelope => boxEnvelope(s, s, s);
const phi = (1 + Math.sqrt(5)) / 2;

const cyclic = (p: readonly [number, number, number]): [number, number, number][] => [
  [p[0], p[1], p[2]],
  [p[1], p[2], p[0]],
  [p[2], p[0], p[1]],
];
const signed = (p: [number, number, number]): [number, number, number][] =>
  [-1, 1].flatMap((a) =>
    [-1, 1].flatMap((b) => [-1, 1].map((c): [number, number, number] => [a * p[0], b * p[1], c * p[2]])),
  ); // prettier-ignore
const flat = (points: readonly (readonly number[])[]): Float64Array =>
  Float64Array.from(points.flat());

// Regular solids of edge 1, corners from their usual coordinates.
const tetrahedron = flat([[1, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1]]).map((x) => x / Math.sqrt(8)); // prettier-ignore
const octahedron = flat([...cyclic([1, 0, 0]), ...cyclic([-1, 0, 0])]).map((x) => x / Math.SQRT2);
const icosahedron = flat(signed([0, 1, phi]).flatMap(cyclic)).map((x) => x / 2);
const dodecahedron = flat([...signed([1, 1, 1]), ...signed([0, 1 / phi, phi]).flatMap(cyclic)]).map(
  (x) => (x * phi) / 2,
);

describe('the largest scale of a body in a unit cube, any rotation', () => {
  it('is 3 sqrt(2) / 4 for a unit square (Prince Rupert and Nieuwland; OEIS A093577)', () =>
    expectScale(flat([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]]), cube(1), 1.0606601717798213)); // prettier-ignore
  it('is sqrt(2) for the regular tetrahedron (Croft 1980)', () =>
    expectScale(tetrahedron, cube(1), Math.SQRT2));
  it('is 3 sqrt(2) / 4 for the regular octahedron (Croft 1980)', () =>
    expectScale(octahedron, cube(1), 1.0606601717798213));
  it('is 1 / phi for the regular icosahedron (Croft 1980)', () =>
    expectScale(icosahedron, cube(1), 1 / phi));
  it('is 0.394283... for the regular dodecahedron (Croft 1980; Firsching, arXiv 1407.0683)', () =>
    expectScale(dodecahedron, cube(1), 0.39428347972513745));
  it('is sqrt(2) for an equilateral triangle and 0.7071 for a regular hexagon (diagonal section)', () => {
    const ring = (n: number, r: number): Float64Array =>
      flat(Array.from({ length: n }, (_, i) => [r * Math.cos((2 * Math.PI * i) / n), r * Math.sin((2 * Math.PI * i) / n), 0])); // prettier-ignore
    expectScale(ring(3, 1 / Math.sqrt(3)), cube(1), Math.SQRT2);
    expectScale(ring(6, 1), cube(1), Math.SQRT1_2);
    // A disc has radius sqrt(3/8); 720 corners lie within 1e-5 of it.
    expectScale(ring(720, 1), cube(1), Math.sqrt(3 / 8), 2e-5);
  });
  it('is S / 2r for a ball, settled by its width alone', () => {
    const fit = fitPart(convexHull(ballMesh(0.5, 4).positions), cube(1));
    expect(fit.scale.atLeast).toBeGreaterThan(0.999);
    expect(fit.scale.atMost).toBeLessThan(1.003);
    expect(fit.cells).toBe(0);
  });
});

describe('sticks, bars and plates in boxes', () => {
  it.each([
    [[12, 16, 15], 25],
    [[220, 220, 250], 399.124],
    [[420, 420, 500], 776.402],
  ] as const)('the longest line in %j is the diagonal %f', ([a, b, c], truth) =>
    expectScale(flat([[0, 0, 0], [truth, 0, 0]]), boxEnvelope(a, b, c), 1, 1e-6)); // prettier-ignore

  // Intervals from a branch and bound independent of this code, gap 1e-4 or better.
  it.each([
    ['650 x 220 x 55 in 590 x 290 x 160', [650, 220, 55], [590, 290, 160], 0.90937, 0.90947],
    ['100 x 100 x 342.53 in 300^3', [100, 100, 342.5305], [300, 300, 300], 0.999998, 1.000003],
    [
      '20 x 20 x 364.15 in 220 x 220 x 250',
      [20, 20, 364.1503],
      [220, 220, 250],
      0.999998,
      1.000002,
    ],
    ['50 x 50 x 355.1 in 256^3', [50, 50, 355.0955], [256, 256, 256], 0.999998, 1.000002],
    ['1 x 1 x 15.558 in 10^3', [1, 1, 15.557955], [10, 10, 10], 0.999996, 1.000004],
    [
      '200 x 10 x 323.1 in 220 x 220 x 250',
      [200, 10, 323.1059],
      [220, 220, 250],
      0.999998,
      1.000002,
    ],
    ['300 x 200 x 10 in 220 x 220 x 250', [300, 200, 10], [220, 220, 250], 1.07455, 1.07467],
  ] as const)('%s', (_, body, space, low, high) => {
    const [atLeast, atMost] = interval(
      boxMesh(body).positions,
      boxEnvelope(space[0], space[1], space[2]),
    );
    expect(atLeast).toBeLessThanOrEqual(high);
    expect(atMost).toBeGreaterThanOrEqual(low);
  });

  it('a cylinder d x L in a cube S: L = sqrt(3) S - sqrt(2) d (extent along an axis in closed form)', () => {
    // A prism of 128 sides inside the cylinder is thinner by up to 1 - cos(pi / 128).
    expectScale(cylinderMesh(12.7, 397.0916774, 128).positions, cube(250), 1, 1e-4);
    expectScale(cylinderMesh(50, 378.193886, 128).positions, cube(300), 1, 2e-4);
  });

  it('a 1 in tube in 220 x 220 x 250, 256^3 and 420 x 420 x 500 (values of an independent search)', () => {
    expectScale(cylinderMesh(12.7, 363.3933, 128).positions, boxEnvelope(220, 220, 250), 1, 1e-4);
    expectScale(cylinderMesh(12.7, 407.484, 128).positions, cube(256), 1, 1e-4);
    expectScale(cylinderMesh(12.7, 740.8065, 128).positions, boxEnvelope(420, 420, 500), 1, 1e-4);
  });
});

describe('touching cases', () => {
  it('a tetrahedron of edge sqrt(2) a millionth smaller fits a unit cube, a millionth larger is proved not to', () => {
    const edge = (s: number): Float64Array => tetrahedron.map((x) => x * Math.SQRT2 * s);
    // Turned away from its good position, so that the search has to find it.
    const skew = (p: Float64Array): Float64Array => turnedBy(p);
    expect(fitPart(skew(edge(1 - 1e-6)), cube(1), { precision: 1e-7 }).verdict).toBe('fits-tilted');
    expect(fitPart(skew(edge(1 + 1e-6)), cube(1), { precision: 1e-7 }).verdict).toBe('too-big');
  });

  it('a part exactly as large as the envelope fits as modelled', () => {
    const fit = fitPart(boxMesh([220, 220, 250]).positions, boxEnvelope(220, 220, 250));
    expect(fit.verdict).toBe('fits');
    expect(fit.placement.clearanceMm).toEqual([0, 0, 0]);
  });
});

/** Points turned by a fixed rotation that has nothing to do with the axes. */
function turnedBy(p: Float64Array): Float64Array {
  const [c, s] = [Math.cos(0.7), Math.sin(0.7)];
  const out = p.slice();
  for (let i = 0; i < p.length; i += 3) {
    const [x, y, z] = [p[i]!, p[i + 1]!, p[i + 2]!];
    const [x1, y1] = [c * x - s * y, s * x + c * y];
    out.set([x1, c * y1 - s * z, s * y1 + c * z], i);
  }
  return out;
}
