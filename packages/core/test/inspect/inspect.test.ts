import { beforeAll, describe, expect, test } from 'vitest';
import { findingWords, healthSchema, inspectPart, VERDICT_WORDS } from '../../src/inspect/index.ts';
import type { Health } from '../../src/inspect/index.ts';
import {
  ballMesh,
  boxMesh,
  cornerTetrahedron,
  flipTriangles,
  joinMeshes,
  massProperties,
  meshFrom,
  scaleMesh,
  torusMesh,
  transformMesh,
  type Mesh,
} from '../../src/mesh/index.ts';
import { normalizeQuat, quatToMatrix } from '../../src/math/index.ts';
import { loadKernel, type Kernel } from '../../src/solid/index.ts';
import { stlModel } from '../mesh/stl-model.ts';

let kernel: Kernel;
beforeAll(async () => {
  kernel = await loadKernel();
});

const flip = (mesh: Mesh): Mesh => ({ ...mesh, triangles: flipTriangles(mesh.triangles) });
const withFacets = (mesh: Mesh, ...facets: number[]): Mesh => ({
  ...mesh,
  triangles: Uint32Array.from([...mesh.triangles, ...facets]),
});
const withoutFacets = (mesh: Mesh, ...facets: number[]): Mesh => ({
  ...mesh,
  triangles: mesh.triangles.filter((_, i) => !facets.includes(Math.floor(i / 3))),
});
const turnedFacets = (mesh: Mesh, ...facets: number[]): Mesh => {
  const triangles = mesh.triangles.slice();
  for (const f of facets)
    triangles.set(flipTriangles(mesh.triangles.slice(3 * f, 3 * f + 3)), 3 * f);
  return { ...mesh, triangles };
};
const ball = ballMesh(10, 2);
const nothing = { count: 0, at: [] };

describe('sound bodies', () => {
  const bodies: [string, Mesh][] = [
    ['box', boxMesh([2, 3, 4])],
    ['ball', ball],
    ['torus', torusMesh(5, 2)],
    ['gear wheel of stl-models', stlModel('objects/gearwheel.bin.stl')],
    ['cube of stl-models', stlModel('polytopes/cubeLarge.ascii.stl')],
    ['irregular tetrahedron of stl-models', stlModel('polytopes/tetrahedronIrregular.bin.stl')],
  ];
  test.each(bodies)('%s: sound, and volume and area are those of manifold-3d', (_, mesh) => {
    const health = inspectPart(mesh);
    expect(health).toMatchObject({
      verdict: 'sound',
      findings: [],
      triangles: mesh.triangles.length / 3,
      vertices: mesh.positions.length / 3,
      shells: { count: 1, bodies: 1, open: 0 },
      openEdges: { count: 0, rims: 0, longest: [] },
      nonManifoldEdges: nothing,
      flippedNeighbours: nothing,
    });
    kernel.scope((s) => {
      const solid = s.meshToSolid(mesh);
      expect(health.volumeMm3! / s.volume(solid)).toBeCloseTo(1, 12);
      expect(health.areaMm2 / s.area(solid)).toBeCloseTo(1, 12);
      // Euler: vertices - edges + facets = 2 - 2 genus, with 3/2 edges to a facet.
      expect(health.vertices - health.triangles / 2).toBe(2 - 2 * s.genus(solid));
    });
  });

  // Exact rational arithmetic on the file's float32 values.
  test('the gear wheel has the volume, area and centre known from exact arithmetic', () => {
    const health = inspectPart(stlModel('objects/gearwheel.bin.stl'));
    expect(health.triangles).toBe(2444);
    expect(health.vertices).toBe(1222);
    expect(health.volumeMm3).toBeCloseTo(8922.636658888, 8);
    expect(health.areaMm2).toBeCloseTo(4508.734412628, 8);
    expect(health.centreMm).toEqual([
      expect.closeTo(-0.02261219, 8),
      expect.closeTo(0, 8),
      expect.closeTo(4, 8),
    ]);
  });

  test('a hollow body has a void, not an inside-out shell, and its volume is the difference', () => {
    const hollow = joinMeshes([flip(ballMesh(6, 2)), ball]);
    const health = inspectPart(hollow);
    expect(health).toMatchObject({
      verdict: 'sound',
      shells: { bodies: 1, voids: 1, insideOut: 0 },
    });
    expect(health.volumeMm3).toBeCloseTo(massProperties(ball).volumeMm3 * (1 - 0.6 ** 3), 8);
  });

  test('a peg in the hollow of a body is a third, sound shell', () => {
    const health = inspectPart(joinMeshes([ball, flip(ballMesh(6, 2)), ballMesh(2, 1)]));
    expect(health).toMatchObject({
      verdict: 'sound',
      shells: { bodies: 2, voids: 1, overlapping: 0 },
    });
  });
});

describe('the Stanford bunny of stl-models, scanned with five holes', () => {
  // Counted and summed in exact rational arithmetic on the file's values.
  test('223 open edges in rims of 80, 42, 40, 39 and 22; no volume, and the area all the same', () => {
    const health = inspectPart(stlModel('objects/bunny.bin.stl'));
    expect(health).toMatchObject({
      verdict: 'open',
      findings: ['open-edges'],
      triangles: 69451,
      vertices: 34834,
      shells: { count: 1, bodies: 0, open: 1 },
      nonManifoldEdges: nothing,
      volumeMm3: null,
      centreMm: null,
      inertiaMm5: null,
    });
    expect(health.openEdges.count).toBe(223);
    expect(health.openEdges.longest.map((rim) => rim.edges).sort((a, b) => b - a)).toEqual([
      80, 42, 40, 39, 22,
    ]);
    expect(health.openEdges.longest.every((rim) => rim.closed)).toBe(true);
    expect(health.areaMm2).toBeCloseTo(0.0571287834, 10);
    expect(findingWords(health)).toEqual(['223 open edges in 5 rims']);
    expect(VERDICT_WORDS[health.verdict]).toBe('open (volume unknown)');
  });
});

describe('planted defects are all found, and only they', () => {
  const volume = massProperties(ball).volumeMm3;
  const cases: [string, Mesh, Partial<Record<keyof Health, unknown>>][] = [
    ['a missing facet', withoutFacets(ball, 7), {
      verdict: 'open', findings: ['open-edges'], volumeMm3: null,
      openEdges: { count: 3, rims: 1, longest: [{ edges: 3, closed: true }] },
    }],
    ['two missing facets apart', withoutFacets(ball, 7, 200), {
      verdict: 'open', openEdges: { count: 6, rims: 2 },
    }],
    ['a flipped facet', turnedFacets(ball, 100), {
      verdict: 'usable', findings: ['flipped-neighbours'], flippedNeighbours: { count: 3 },
      measuredAfter: { dropped: 0, turned: 1 },
    }],
    ['five flipped facets, two of them neighbours', turnedFacets(ball, 0, 3, 100, 200, 300), {
      verdict: 'usable', measuredAfter: { turned: 5 }, flippedNeighbours: { count: 13 },
    }],
    ['a collapsed facet', withFacets(ball, 4, 4, 9), {
      verdict: 'usable', findings: ['collapsed-facets'], degenerateFacets: { collapsed: 1, flat: 0 },
      shells: { count: 1 }, triangles: 321,
    }],
    ['a doubled facet', withFacets(ball, ...ball.triangles.slice(30, 33)), {
      verdict: 'usable', findings: ['non-manifold-edges', 'duplicate-facets'],
      duplicateFacets: { same: 1, opposite: 0 }, nonManifoldEdges: { count: 3 },
      measuredAfter: { dropped: 1, turned: 0 },
    }],
    ['an inside-out body', flip(ball), {
      verdict: 'usable', findings: ['inside-out-shells'], shells: { bodies: 0, insideOut: 1 },
    }],
    ['an inside-out body beside a sound one', joinMeshes([boxMesh([1, 1, 1], [50, 0, 0]), flip(ball)]), {
      verdict: 'usable', shells: { bodies: 1, voids: 0, insideOut: 1 },
    }],
    ['two crossing balls', joinMeshes([ball, transformMesh(ball, [1, 0, 0, 0, 1, 0, 0, 0, 1], [11, 0, 0])]), {
      verdict: 'usable', findings: ['overlapping-shells'], shells: { count: 2, overlapping: 1 },
    }],
    ['a beam through a box, no vertex of either in the other', joinMeshes([boxMesh([4, 4, 4]), boxMesh([12, 1, 1], [-4, 1, 1])]), {
      verdict: 'usable', findings: ['overlapping-shells'], shells: { bodies: 2, overlapping: 1 },
    }],
    ['a solid ball inside a solid ball', joinMeshes([ball, ballMesh(3, 1)]), {
      verdict: 'usable', findings: ['overlapping-shells'], shells: { bodies: 2, overlapping: 1 },
    }],
  ]; // prettier-ignore

  test.each(cases)('%s', (_, mesh, expected) => {
    const health = inspectPart(mesh);
    expect(health).toMatchObject(expected);
    expect(healthSchema.parse(JSON.parse(JSON.stringify(health)))).toEqual(health);
    expect(findingWords(health)).toHaveLength(health.findings.length);
  });

  test('flaws that stand for nothing do not falsify the volume', () => {
    for (const mesh of [
      turnedFacets(ball, 0, 3, 100, 200, 300),
      withFacets(ball, ...ball.triangles.slice(30, 33), 4, 4, 9),
    ])
      expect(inspectPart(mesh).volumeMm3).toBeCloseTo(volume, 8);
    expect(inspectPart(flip(ball)).volumeMm3).toBeCloseTo(-volume, 8);
  });

  test('a facet with its corners in a line is flat; its neighbours still meet through it', () => {
    // A box whose edge from vertex 0 to 1 carries a middle vertex on one side only.
    const box = boxMesh([2, 2, 2]);
    const positions = Float64Array.from([...box.positions, 1, 0, 0]);
    // Facet 1 is [0, 3, 1]: split at the middle of 0-1; the facets at y = 0 keep the whole edge.
    const split = {
      positions,
      triangles: withFacets(withoutFacets(box, 1), 0, 3, 8, 8, 3, 1).triangles,
    };
    const open = inspectPart(split);
    expect(open.openEdges).toMatchObject({ count: 3, rims: 1 });
    const healed = inspectPart(withFacets(split, 0, 8, 1));
    expect(healed).toMatchObject({
      verdict: 'usable',
      findings: ['flat-facets'],
      degenerateFacets: { collapsed: 0, flat: 1 },
    });
    expect(healed.volumeMm3).toBeCloseTo(8, 12);
  });

  test('a fin on a closed body makes a crowded edge and stays open; a twin pair is back to back', () => {
    const fin = { positions: Float64Array.from([...boxMesh([1, 1, 1]).positions, 5, 5, 5]), triangles: boxMesh([1, 1, 1]).triangles }; // prettier-ignore
    const one = inspectPart(withFacets(fin, 0, 1, 8));
    expect(one).toMatchObject({
      verdict: 'open',
      nonManifoldEdges: { count: 1 },
      openEdges: { count: 2 },
    });
    const two = inspectPart(withFacets(fin, 0, 1, 8, 1, 0, 8));
    expect(two).toMatchObject({ verdict: 'usable', duplicateFacets: { same: 0, opposite: 1 } });
    expect(two.volumeMm3).toBeCloseTo(1, 12);
  });

  test('a Moebius strip has one side, whatever is turned', () => {
    const n = 12;
    const points = Array.from({ length: 2 * n }, (_, i): [number, number, number] => {
      const a = (2 * Math.PI * Math.floor(i / 2)) / n;
      const w = i % 2 ? 1 : -1;
      const d = 5 + w * Math.cos(a / 2);
      return [d * Math.cos(a), d * Math.sin(a), w * Math.sin(a / 2)];
    });
    const facets = Array.from({ length: n }, (_, i): [number, number, number][] => {
      const [a, b] = [2 * i, 2 * i + 1];
      const [c, d] = i + 1 < n ? [a + 2, b + 2] : [1, 0];
      return [[a, c, b], [b, c, d]]; // prettier-ignore
    }).flat();
    const health = inspectPart(meshFrom(points, facets));
    expect(health.findings).toContain('one-sided');
    expect(health).toMatchObject({ verdict: 'open', volumeMm3: null, openEdges: { count: 2 * n } });
  });

  test('an empty mesh is open, with finite figures', () => {
    expect(inspectPart(meshFrom([], []))).toMatchObject({
      verdict: 'open',
      areaMm2: 0,
      volumeMm3: null,
    });
  });
});

test('turned, moved and scaled, a part keeps its findings', () => {
  const mesh = joinMeshes([
    withoutFacets(turnedFacets(ball, 50), 7, 120),
    flip(boxMesh([1, 2, 3], [40, 0, 0])),
    cornerTetrahedron(2, 2, 2),
  ]);
  const at = inspectPart(mesh);
  const R = quatToMatrix(normalizeQuat([0.3, -0.5, 0.2, 0.7]));
  for (const other of [
    transformMesh(mesh, R, [100, -200, 300]),
    scaleMesh(mesh, 1e-3),
    scaleMesh(mesh, 254),
  ]) {
    const health = inspectPart(other);
    expect(health.findings).toEqual(at.findings);
    expect(health.shells).toEqual(at.shells);
    expect(health.openEdges.longest.map((r) => r.edges)).toEqual(
      at.openEdges.longest.map((r) => r.edges),
    );
  }
});

test('stopping on request stops the inspection', () => {
  const stop = new AbortController();
  stop.abort();
  expect(() => inspectPart(ball, { signal: stop.signal })).toThrow('Stopped on request');
});
