import { describe, expect, it } from 'vitest';
import { boxEnvelope } from '../../src/envelope/index.ts';
import type { Vec3 } from '../../src/math/index.ts';
import { boxMesh, cylinderMesh, joinMeshes, torusMesh, type Mesh } from '../../src/mesh/index.ts';
import { rankOrientations } from '../../src/orient/index.ts';
import { cleanFlags, flatRegions } from '../../src/orient/clean.ts';
import { facetsOf } from '../../src/orient/turned.ts';

const areas = (mesh: Mesh): number[] =>
  flatRegions(mesh, facetsOf(mesh))
    .map((r) => r.areaMm2)
    .sort((a, b) => b - a);

describe('flat regions', () => {
  it('of a box are its six faces', () => {
    const found = areas(boxMesh([30, 20, 10]));
    [600, 600, 300, 300, 200, 200].forEach((a, i) => expect(found[i]).toBeCloseTo(a, 9));
    expect(found.length).toBe(6);
  });

  it('of a prism of n sides are its two ends and n strips, in sum its whole area', () => {
    const [n, r, h] = [24, 10, 30];
    const found = areas(cylinderMesh(r, h, n));
    // A regular polygon: area n/2 r^2 sin(2 pi / n), side 2 r sin(pi / n).
    const end = (n / 2) * r * r * Math.sin((2 * Math.PI) / n);
    const strip = 2 * r * Math.sin(Math.PI / n) * h;
    expect(found.length).toBe(n + 2);
    [end, end, strip, strip].forEach((a, i) => expect(found[i]).toBeCloseTo(a, 6));
  });
});

describe('faces to keep clean', () => {
  const flagged = (mesh: Mesh, directions: Vec3[], flatFromMm2?: number): number => {
    const facets = facetsOf(mesh);
    const flags = cleanFlags(mesh, facets, { directions, ...(flatFromMm2 && { flatFromMm2 }) });
    return flags.reduce((sum, is, f) => sum + is * (facets.areasMm2[f] as number), 0);
  };
  const tee = joinMeshes([
    boxMesh([10, 10, 40], [-5, -5, 0]),
    boxMesh([60, 20, 5], [-30, -10, 40]),
  ]);

  it('are those that are flat over enough, whichever way they look, and those that look one way', () => {
    // Faces of the bar: 60 x 20 = 1200 (two), 60 x 5 = 300; of the leg: 10 x 40 = 400 (four).
    expect(flagged(tee, [], 1000)).toBeCloseTo(2400, 6);
    expect(flagged(tee, [], 350)).toBeCloseTo(2400 + 4 * 400, 6);
    expect(flagged(tee, [[0, 0, 1]])).toBeCloseTo(1200 + 100, 6);
    expect(flagged(tee, [[0, 0, 1]], 1000)).toBeCloseTo(2400 + 100, 6);
    expect(flagged(torusMesh(30, 9, 64, 32), [], 200)).toBe(0);
  });

  it('weigh in the choice: no more of the flat faces is scarred than without asking', () => {
    const envelope = boxEnvelope(200, 200, 200);
    const [best] = rankOrientations(tee, envelope, { clean: { directions: [], flatFromMm2: 1000 } }).ways; // prettier-ignore
    // Lying on the bar or on its edge nothing touches the bar's faces from below.
    expect(best?.supports.cleanTouchedMm2).toBeLessThan(1);
    // As modelled the bar hangs 1200 - 100 mm2 over the plate.
    const modelled = rankOrientations(tee, envelope, { clean: { directions: [], flatFromMm2: 1000 } }).asModelled; // prettier-ignore
    expect((modelled?.supports.cleanTouchedMm2 ?? 0) / 1100).toBeCloseTo(1, 1);
  });
});
