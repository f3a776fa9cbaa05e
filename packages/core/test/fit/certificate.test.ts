import { describe, expect, it } from 'vitest';
import { boxEnvelope, type Envelope } from '../../src/envelope/index.ts';
import { decideFit, fitPart, smallestCircle, type Fit } from '../../src/fit/index.ts';
import { Extremes } from '../../src/fit/extremes.ts';
import { isNowhereThinner, sampledWidth } from '../../src/fit/width.ts';
import { convexHull } from '../../src/hull/index.ts';
import {
  normalizeQuat,
  quatToMatrix,
  rotate,
  seededRandom,
  type Mat3,
  type Vec3,
} from '../../src/math/index.ts';
import { ballMesh, boxMesh, cornerTetrahedron, cylinderMesh } from '../../src/mesh/index.ts';

const randomTurn = (random: () => number): Mat3 => {
  // Marsaglia 1972: uniform over rotations by rejection from the 4-cube.
  for (;;) {
    const q = [random(), random(), random(), random()].map((x) => 2 * x - 1);
    const l = Math.hypot(...q);
    if (l > 0.1 && l < 1) return quatToMatrix(normalizeQuat(q as [number, number, number, number]));
  }
};

const turn = (points: Float64Array, m: Mat3): Float64Array => {
  const out = new Float64Array(points.length);
  for (let i = 0; i < points.length; i += 3)
    out.set(rotate(m, [points[i]!, points[i + 1]!, points[i + 2]!]), i);
  return out;
};

/** The scale at which turned points fit, by plain measuring. */
function scaleAt(points: Float64Array, m: Mat3, envelope: Envelope): number {
  const p = turn(points, m);
  const xs = p.filter((_, i) => i % 3 === 0);
  const ys = p.filter((_, i) => i % 3 === 1);
  const zs = p.filter((_, i) => i % 3 === 2);
  const width = (a: Float64Array): number => Math.max(...a) - Math.min(...a);
  const { plate } = envelope;
  const plan =
    plate.shape === 'round'
      ? plate.diameterMm / 2 / smallestCircle(xs, ys).r
      : plate.shape === 'box'
        ? Math.min(plate.widthMm / width(xs), plate.depthMm / width(ys))
        : Infinity;
  return Math.min(plan, envelope.heightMm / width(zs));
}

function cloud(random: () => number, n: number): Float64Array {
  const stretch: Vec3 = [60 + 240 * random(), 60 + 200 * random(), 40 + 160 * random()];
  return Float64Array.from({ length: 3 * n }, (_, i) => (random() - 0.5) * stretch[i % 3]!);
}

const round = (d: number, h: number): Envelope => ({
  ...boxEnvelope(d, d, h),
  plate: { shape: 'round', diameterMm: d },
});

describe('the certificate', () => {
  const envelopes = [
    boxEnvelope(220, 220, 250),
    boxEnvelope(200, 200, 200),
    boxEnvelope(300, 180, 120),
    round(220, 260),
  ];

  it('is never beaten by 2000 rotations, on random hulls and four envelopes (seed 21)', () => {
    const random = seededRandom(21);
    for (let k = 0; k < 16; k++) {
      const points = convexHull(cloud(random, 8 + Math.floor(random() * 60))).positions;
      const envelope = envelopes[k % 4] as Envelope;
      const { scale } = fitPart(points, envelope);
      expect(scale.proved).toBe(true);
      let best = 0;
      for (let i = 0; i < 2000; i++)
        best = Math.max(best, scaleAt(points, randomTurn(random), envelope));
      expect(best).toBeLessThanOrEqual(scale.atMost);
      // The witness is at least as good as what chance finds.
      expect(scale.atLeast).toBeGreaterThanOrEqual(best * (1 - 1e-3));
    }
  });

  it('has a witness that every vertex confirms', () => {
    const random = seededRandom(4);
    for (let k = 0; k < 8; k++) {
      const points = cloud(random, 40);
      const envelope = envelopes[k % 4] as Envelope;
      const { scale, placement } = fitPart(points, envelope);
      const m = quatToMatrix(placement.rotation);
      if (scale.atLeast < 1) {
        expect(scaleAt(points, m, envelope)).toBeGreaterThanOrEqual(scale.atLeast * (1 - 1e-9));
        continue;
      }
      const moved = turn(points, m);
      for (let i = 0; i < moved.length; i += 3) {
        const [x, y, z] = [0, 1, 2].map((c) => moved[i + c]! + placement.translationMm[c]!) as [
          number,
          number,
          number,
        ];
        expect(z).toBeGreaterThanOrEqual(-1e-6);
        expect(z).toBeLessThanOrEqual(envelope.heightMm + 1e-6);
        if (envelope.plate.shape === 'round')
          expect(Math.hypot(x, y)).toBeLessThanOrEqual(envelope.plate.diameterMm / 2 + 1e-6);
        if (envelope.plate.shape === 'box') {
          expect(Math.abs(x)).toBeLessThanOrEqual(envelope.plate.widthMm / 2 + 1e-6);
          expect(Math.abs(y)).toBeLessThanOrEqual(envelope.plate.depthMm / 2 + 1e-6);
        }
      }
    }
  });

  it('does not change when the part is turned or moved first, and halves when it is doubled', () => {
    const random = seededRandom(8);
    const points = convexHull(cloud(random, 60)).positions;
    const envelope = boxEnvelope(220, 220, 250);
    const plain = fitPart(points, envelope).scale;
    const same = (fit: Fit, factor = 1): void => {
      expect(fit.scale.atLeast * factor).toBeLessThanOrEqual(plain.atMost);
      expect(fit.scale.atMost * factor).toBeGreaterThanOrEqual(plain.atLeast);
    };
    for (let k = 0; k < 4; k++)
      same(fitPart(turn(points, randomTurn(random)).map((x, i) => x + 50 * (i % 3)), envelope)); // prettier-ignore
    same(fitPart(points.map((x) => 2 * x), envelope), 2); // prettier-ignore
  });

  it('only grows with the envelope', () => {
    const points = convexHull(cloud(seededRandom(3), 50)).positions;
    let last = 0;
    for (const s of [150, 180, 210, 240]) {
      const { scale } = fitPart(points, boxEnvelope(s, s, s + 20));
      expect(scale.atMost).toBeGreaterThanOrEqual(last);
      last = scale.atLeast;
    }
  });

  it('says so when it may not look long enough', () => {
    // Nearly round: hard for a search. Without cells there is no certificate.
    const fit = fitPart(boxMesh([100, 100, 343]).positions, boxEnvelope(300, 300, 300), {
      maxCells: 3,
    });
    expect(fit.verdict).toBe('undecided');
    expect(fit.scale.proved).toBe(false);
  });

  it('agrees with the closed form for a cylinder on a round plate: one plane holds the axis', () => {
    // Rod of length L, thickness 0, in a cylinder D x H: longest is the diagonal.
    const rod = Float64Array.from([0, 0, 0, Math.hypot(220, 250), 0, 0]);
    const { scale } = fitPart(rod, round(220, 250), { precision: 1e-4 });
    expect(scale.atLeast).toBeLessThanOrEqual(1 + 1e-9);
    expect(scale.atMost).toBeGreaterThanOrEqual(1 - 1e-9);
    // A p x q plate fits a round plate lying flat iff p^2 + q^2 <= D^2.
    expect(fitPart(boxMesh([132, 176, 5]).positions, round(220, 10)).verdict).toBe('fits');
    expect(fitPart(boxMesh([132, 176.1, 5]).positions, round(220, 5)).verdict).toBe('too-big');
  });

  it('is the same for a square plate written as a polygon', () => {
    const points = convexHull(cloud(seededRandom(17), 30)).positions;
    const box = fitPart(points, boxEnvelope(160, 160, 140)).scale;
    const polygon = fitPart(points, {
      ...boxEnvelope(160, 160, 140),
      plate: { shape: 'polygon', outlineMm: [[0, 0], [160, 0], [160, 160], [0, 160]] }, // prettier-ignore
    }).scale;
    expect(polygon.atMost).toBeGreaterThanOrEqual(box.atLeast);
    expect(box.atMost).toBeGreaterThanOrEqual(polygon.atLeast);
    expect(polygon.atMost / polygon.atLeast).toBeLessThan(1.0011);
  });
});

describe('decideFit', () => {
  it('gives the same answers as the interval', () => {
    const random = seededRandom(33);
    let yes = 0;
    let no = 0;
    for (let k = 0; k < 30; k++) {
      const points = convexHull(cloud(random, 30)).positions;
      const envelope = boxEnvelope(170, 150, 130);
      const { scale } = fitPart(points, envelope);
      const quick = decideFit(points, envelope);
      if (scale.atLeast >= 1) {
        yes++;
        expect(quick.fits).toBe(true);
      } else if (scale.atMost < 1) {
        no++;
        expect(quick.fits).toBe(false);
      }
    }
    expect(Math.min(yes, no)).toBeGreaterThan(3);
  });
});

describe('pieces at least', () => {
  const pieces = (points: Float64Array, envelope: Envelope, volumeMm3?: number): number =>
    fitPart(convexHull(points), envelope, {
      facts: { connected: true, ...(volumeMm3 !== undefined && { volumeMm3 }) },
    }).piecesAtLeast.count;

  it('is 8 for a solid cube of twice the side, by volume', () =>
    expect(pieces(boxMesh([200, 200, 200]).positions, boxEnvelope(100, 100, 100), 8e6)).toBe(8));
  it('is ceil(L / diagonal) for a thin rod', () => {
    const g = Math.hypot(220, 220, 250);
    for (const k of [1.5, 2.5, 3.01])
      expect(pieces(cylinderMesh(1, k * g, 12).positions, boxEnvelope(220, 220, 250))).toBe(
        Math.ceil(k),
      );
  });
  it('claims no more than 2 for a part in two separate shells', () => {
    const fit = fitPart(boxMesh([2000, 10, 10]).positions, boxEnvelope(220, 220, 250), {
      facts: { connected: false },
    });
    expect(fit.piecesAtLeast.count).toBe(2);
  });
});

describe('widths', () => {
  // Least widths of bodies with a known answer: a face for the cube, opposite edges for the
  // tetrahedron (1 / sqrt 2 of the edge; a face direction alone would say 0.8165).
  it.each([
    ['cube', boxMesh([1, 1, 1]).positions, 1],
    ['tetrahedron', Float64Array.from([1, 1, 1, 1, -1, -1, -1, 1, -1, -1, -1, 1]), 2],
    [
      'octahedron',
      Float64Array.from([1, 0, 0, -1, 0, 0, 0, 1, 0, 0, -1, 0, 0, 0, 1, 0, 0, -1]),
      2 / Math.sqrt(3),
    ],
  ])(
    'proves the %s nowhere thinner than a hair less than its width, and not a hair more',
    (_, points, width) => {
      expect(isNowhereThinner(new Extremes(points), width * (1 - 2e-3))).toBe(true);
      expect(isNowhereThinner(new Extremes(points), width * (1 + 1e-3))).toBe(false);
      expect(sampledWidth(new Extremes(points))).toBeGreaterThanOrEqual(width * (1 - 1e-12));
    },
  );

  it('finds the corner tetrahedron thin where it is thin', () => {
    // Width across its slanted face: 1 / sqrt(1/9 + 1/4 + 1).
    const p = cornerTetrahedron(3, 2, 1).positions;
    expect(isNowhereThinner(new Extremes(p), 6 / 7 + 0.01)).toBe(false);
  });

  it('proves a faceted ball as thick as it looks', () =>
    expect(isNowhereThinner(new Extremes(ballMesh(1, 3).positions), 1.98)).toBe(true));
});
