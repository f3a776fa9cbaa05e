import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { inspectPart, repairForSolid, shellRoles, topologyOf } from '../../src/inspect/index.ts';
import {
  boxMesh,
  flipTriangles,
  joinMeshes,
  massProperties,
  weldWithin,
  type Mesh,
} from '../../src/mesh/index.ts';
import { seededRandom } from '../../src/math/index.ts';
import { readParts } from '../../src/read/index.ts';
import { loadKernel, type Kernel } from '../../src/solid/index.ts';

let kernel: Kernel;
beforeAll(async () => {
  kernel = await loadKernel();
});

const welded = (...meshes: Mesh[]): Mesh => weldWithin(joinMeshes(meshes), 1e-6).mesh;
const cube = (x: number, y: number, z: number, a = 1): Mesh => boxMesh([a, a, a], [x, y, z]);

describe('bodies that touch are told apart', () => {
  const cases: [string, Mesh, number, number][] = [
    ['along an edge', welded(cube(0, 0, 0), cube(1, 1, 0)), 2, 1],
    // The diagonals of the common face may cross: 4 edges of its rim, 5 when they agree.
    ['at a face', welded(cube(0, 0, 0), cube(1, 0, 0)), 2, 4],
    [
      'four round an edge',
      welded(cube(0, 0, 0), cube(1, 0, 0), cube(0, 1, 0), cube(1, 1, 0)),
      4,
      13,
    ],
  ];
  test.each(cases)('%s', (_, mesh, bodies, edges) => {
    const health = inspectPart(mesh);
    expect(health.nonManifoldEdges.count).toBeGreaterThanOrEqual(edges);
    expect(health.findings).toContain('non-manifold-edges');
    expect(health).toMatchObject({
      verdict: 'usable',
      shells: { count: bodies, bodies, overlapping: 0 },
    });
    expect(health.volumeMm3).toBeCloseTo(bodies, 12);
    for (const shell of shellRoles(topologyOf(mesh))) expect(shell.volumeMm3).toBeCloseTo(1, 12);
  });

  test('a hollow that touches the skin along an edge stays a hollow', () => {
    const outer = boxMesh([4, 4, 4]);
    const inner = boxMesh([2, 2, 4], [2, 2, 0]);
    const notch = { ...inner, triangles: flipTriangles(inner.triangles) };
    const health = inspectPart(welded(outer, notch));
    expect(health.verdict).not.toBe('open');
    expect(health.volumeMm3).toBeCloseTo(64 - 16, 12);
  });

  test('random unit cubes of a grid, welded: each cube is found (seeds 1 to 25)', () => {
    for (let seed = 1; seed <= 25; seed++) {
      const random = seededRandom(seed);
      const places = new Set(Array.from({ length: 14 }, () => Math.floor(random() * 27)));
      const cubes = [...places].map((i) => cube(i % 3, Math.floor(i / 3) % 3, Math.floor(i / 9)));
      const health = inspectPart(welded(...cubes));
      expect(health.shells).toMatchObject({
        count: cubes.length,
        bodies: cubes.length,
        overlapping: 0,
      });
      expect(health.volumeMm3).toBeCloseTo(cubes.length, 10);
    }
  });

  test('random boxes of a grid, welded: united, they have the volume of the cells they cover (seeds 1 to 8)', async () => {
    for (let seed = 1; seed <= 8; seed++) {
      const random = seededRandom(seed);
      const boxes = Array.from({ length: 5 }, () => ({
        min: [0, 1, 2].map(() => Math.floor(random() * 4)) as [number, number, number],
        size: [0, 1, 2].map(() => 1 + Math.floor(random() * 3)) as [number, number, number],
      }));
      let cells = 0;
      for (let i = 0; i < 512; i++) {
        const c = [i % 8, Math.floor(i / 8) % 8, Math.floor(i / 64)];
        if (boxes.some((b) => c.every((x, k) => x >= b.min[k]! && x < b.min[k]! + b.size[k]!)))
          cells++;
      }
      const repair = await repairForSolid(welded(...boxes.map((b) => boxMesh(b.size, b.min))));
      expect(repair.refusal).toBeNull();
      expect(massProperties(repair.mesh).volumeMm3).toBeCloseTo(cells, 8);
    }
  });
});

const folder = join(import.meta.dirname, '../../../../../shared/real-parts/robot-dog');
test.runIf(existsSync(folder))('parts of a real kit become solids, with the volume of its health report where bodies do not overlap', async () => {
  let parts = 0;
  let alike = 0;
  const files = [
    'openquadruped/SERVO_WITH_COVER.stl',
    ...['frontpart', 'backpart', 'larm', 'lfoot', 'lshoulder', 'rear', 'rear2'].map((n) => `spotmicro/${n}.stl`),
  ];
  for (const file of files)
      for (const { mesh } of readParts(readFileSync(join(folder, file)))) {
        parts++;
        const health = inspectPart(mesh);
        const repair = await repairForSolid(mesh);
        expect(repair.refusal).toBeNull();
        const volume = kernel.scope((s) => s.volume(s.meshToSolid(repair.mesh)));
        expect(volume).toBeLessThanOrEqual(health.volumeMm3! * (1 + 1e-9));
        if (repair.steps.length > 0) continue;
        alike++;
        expect(volume / health.volumeMm3!).toBeCloseTo(1, 9);
      }
  expect(parts).toBeGreaterThanOrEqual(8);
  expect(alike).toBeGreaterThanOrEqual(3);
}); // prettier-ignore
