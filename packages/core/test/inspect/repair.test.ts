import { beforeAll, describe, expect, test } from 'vitest';
import { inspectPart, repairForSolid, solidFromShells } from '../../src/inspect/index.ts';
import {
  ballMesh,
  boxMesh,
  cylinderMesh,
  flipTriangles,
  joinMeshes,
  massProperties,
  meshFrom,
  transformMesh,
  type Mesh,
} from '../../src/mesh/index.ts';
import { seededRandom } from '../../src/math/index.ts';
import { loadKernel, type Kernel } from '../../src/solid/index.ts';
import { stlModel } from '../mesh/stl-model.ts';

let kernel: Kernel;
beforeAll(async () => {
  kernel = await loadKernel();
});

const flip = (mesh: Mesh): Mesh => ({ ...mesh, triangles: flipTriangles(mesh.triangles) });
const moved = (mesh: Mesh, x: number, y = 0, z = 0): Mesh =>
  transformMesh(mesh, [1, 0, 0, 0, 1, 0, 0, 0, 1], [x, y, z]);
const volumeOf = (mesh: Mesh): number => massProperties(mesh).volumeMm3;
/** The mesh without facets whose centroid the test picks out. */
const without = (
  { positions: p, triangles: t }: Mesh,
  pick: (c: number[], f: number) => boolean,
): Mesh => ({
  positions: p,
  triangles: t.filter((_, i) => {
    const f = Math.floor(i / 3);
    const centroid = [0, 1, 2].map(
      (k) => [0, 1, 2].reduce((sum, j) => sum + p[3 * t[3 * f + j]! + k]!, 0) / 3,
    );
    return !pick(centroid, f);
  }),
});
const ball = ballMesh(10, 2);

/** Repairs, and holds the result against our own inspection and the kernel. */
async function repaired(mesh: Mesh): Promise<{ mesh: Mesh; steps: string[]; all: unknown[] }> {
  const repair = await repairForSolid(mesh);
  expect(repair.refusal).toBeNull();
  const health = inspectPart(repair.mesh);
  expect(health.volumeMm3).not.toBeNull();
  expect(health.shells.insideOut).toBe(0);
  kernel.scope((s) =>
    expect(s.volume(s.meshToSolid(repair.mesh))).toBeCloseTo(health.volumeMm3!, 6),
  );
  return {
    mesh: repair.mesh,
    steps: repair.steps.map((step) => step.step),
    all: [...repair.steps],
  };
}

describe('what can honestly be repaired', () => {
  test('a sound mesh comes back as the same object, without a step', async () => {
    for (const mesh of [
      ball,
      stlModel('objects/gearwheel.bin.stl'),
      joinMeshes([ball, flip(ballMesh(5, 1))]),
    ]) {
      const repair = await repairForSolid(mesh);
      expect(repair).toEqual({ mesh, steps: [], refusal: null });
      expect(repair.mesh).toBe(mesh);
    }
  });

  test('seams open by rounding are welded', async () => {
    const random = seededRandom(5);
    const soup = {
      positions: Float64Array.from(
        Array.from(ball.triangles).flatMap((v) =>
          [0, 1, 2].map((k) => ball.positions[3 * v + k]! + (random() - 0.5) * 1e-6),
        ),
      ),
      triangles: Uint32Array.from({ length: ball.triangles.length }, (_, i) => i),
    };
    const { mesh, all } = await repaired(soup);
    expect(all).toMatchObject([{ step: 'weld', openEdgesClosed: 960, verticesMerged: 960 - 162 }]);
    expect(volumeOf(mesh)).toBeCloseTo(volumeOf(ball), 2);
  });

  test('collapsed, doubled and flipped facets, all at once', async () => {
    const t = flip({ ...ball, triangles: ball.triangles.slice(0, 6) }).triangles;
    const triangles = Uint32Array.from([...ball.triangles.slice(6), ...t, 3, 3, 5, ...ball.triangles.slice(60, 63)]); // prettier-ignore
    const { mesh, all } = await repaired({ ...ball, triangles });
    expect(all).toEqual([
      { step: 'drop-collapsed', facets: 1 },
      { step: 'drop-duplicates', facets: 1 },
      { step: 'turn-facets', facets: 2 },
    ]);
    expect(volumeOf(mesh)).toBeCloseTo(volumeOf(ball), 9);
  });

  test('a missing face of a box, any size, is flat and closed', async () => {
    const box = boxMesh([40, 30, 20]);
    const { mesh, all } = await repaired(without(box, (c) => c[2] === 20));
    expect(all).toEqual([
      { step: 'fill-holes', flat: 1, small: 0, facetsAdded: 2, areaAddedMm2: expect.closeTo(1200, 9) as number, longestRimMm: 140 },
    ]); // prettier-ignore
    expect(volumeOf(mesh)).toBeCloseTo(24000, 9);
  });

  test('the open end of a tube is closed as a ring, not as a lid', async () => {
    const tube = kernel.scope((s) =>
      s.solidToMesh(s.subtract(s.cylinder([0, 0, 0], [0, 0, 1], 10, 30, 48), [s.cylinder([0, 0, -1], [0, 0, 1], 8, 40, 48)])),
    ); // prettier-ignore
    const { mesh, all } = await repaired(without(tube, (c) => c[2]! > 29.999));
    expect(all).toMatchObject([{ step: 'fill-holes', flat: 2, small: 0 }]);
    expect(volumeOf(mesh)).toBeCloseTo(volumeOf(tube), 7);
    const both = await repaired(without(tube, (c) => c[2]! > 29.999 || c[2]! < 0.001));
    expect(both.all).toMatchObject([{ flat: 4 }]);
    expect(volumeOf(both.mesh)).toBeCloseTo(volumeOf(tube), 7);
  });

  test('small holes in a curved skin are closed; the volume they cost stays small', async () => {
    const fine = ballMesh(10, 4);
    const holed = without(fine, (_, f) => [7, 700, 703, 4000].includes(f));
    const { mesh, all } = await repaired(holed);
    expect(all).toMatchObject([{ step: 'fill-holes', facetsAdded: 4 }]);
    expect(Math.abs(volumeOf(mesh) / volumeOf(fine) - 1)).toBeLessThan(1e-4);
  });

  test('an inside-out body is turned, a void is left alone', async () => {
    const mesh = joinMeshes([flip(ball), moved(ball, 50), moved(flip(ballMesh(5, 1)), 50)]);
    const { mesh: out, all } = await repaired(mesh);
    expect(all).toEqual([{ step: 'turn-shells', shells: 1, facets: 320 }]);
    expect(volumeOf(out)).toBeCloseTo(2 * volumeOf(ball) - volumeOf(ballMesh(5, 1)), 7);
  });
});

describe('overlapping shells are united by sign', () => {
  test('two boxes that share half of themselves: 1.5, not 2', async () => {
    const { mesh, all } = await repaired(
      joinMeshes([boxMesh([1, 1, 1]), boxMesh([1, 1, 1], [0.5, 0, 0])]),
    );
    expect(all).toMatchObject([{ step: 'unite-shells', bodies: 2, volumeBeforeMm3: 2 }]);
    expect(volumeOf(mesh)).toBeCloseTo(1.5, 12);
    expect(inspectPart(mesh).shells.count).toBe(1);
  });

  test('a solid in a solid vanishes; a peg in a hollow stays; a hollow stays hollow where others cross it', async () => {
    const outer = boxMesh([10, 10, 10]);
    const hollow = flip(boxMesh([6, 6, 6], [2, 2, 2]));
    const peg = boxMesh([1, 1, 1], [4, 4, 4]);
    const beam = boxMesh([20, 1, 1], [-5, 4, 4]);
    expect(volumeOf((await repaired(joinMeshes([outer, peg]))).mesh)).toBeCloseTo(1000, 9);
    expect(volumeOf((await repaired(joinMeshes([hollow, peg, outer]))).mesh)).toBeCloseTo(785, 9);
    // The beam adds 5 + 5 outside and 6 across the hollow.
    const crossed = await repaired(joinMeshes([beam, hollow, outer]));
    expect(volumeOf(crossed.mesh)).toBeCloseTo(1000 - 216 + 10 + 6, 9);
    kernel.scope((s) =>
      expect(s.volume(solidFromShells(s, joinMeshes([outer, peg])))).toBeCloseTo(1000, 9),
    );
  });

  test('twelve random boxes: the volume of a fine grid of points (seed 9)', async () => {
    const random = seededRandom(9);
    const boxes = Array.from({ length: 12 }, () => ({
      min: [0, 1, 2].map(() => Math.floor(random() * 12)) as [number, number, number],
      size: [0, 1, 2].map(() => 2 + Math.floor(random() * 8)) as [number, number, number],
    }));
    const repair = await repairForSolid(joinMeshes(boxes.map((b) => boxMesh(b.size, b.min))));
    let cells = 0;
    for (let i = 0; i < 22 ** 3; i++) {
      const c = [i % 22, Math.floor(i / 22) % 22, Math.floor(i / 484)];
      if (boxes.some((b) => c.every((x, k) => x >= b.min[k]! && x < b.min[k]! + b.size[k]!)))
        cells++;
    }
    // Whole numbers throughout, so counting unit cells is exact.
    expect(repair.refusal).toBeNull();
    expect(volumeOf(repair.mesh)).toBeCloseTo(cells, 6);
  });
});

describe('what is refused', () => {
  test('a large hole that is not flat, with its size', async () => {
    const bowl = without(ballMesh(10, 3), (c) => c[0]! + 0.3 * Math.sin(3 * c[1]!) > 2);
    const { refusal, steps } = await repairForSolid(bowl);
    expect(refusal).toMatchObject({ reason: 'holes', rims: 1 });
    expect(refusal?.reason === 'holes' && refusal.longestRimMm).toBeGreaterThan(2 * Math.PI * 9);
    expect(steps).toEqual([]);
  });

  test('the Stanford bunny: its holes are neither flat nor small enough to guess at', async () => {
    const { refusal } = await repairForSolid(stlModel('objects/bunny.bin.stl'));
    expect(refusal).toMatchObject({ reason: 'holes' });
  });

  test('a surface with one side, a fin, nothing at all', async () => {
    const ring = cylinderMesh(5, 2, 12);
    const strip = without(ring, (c) => c[2] === 0 || c[2] === 2);
    // Cut open and joined crosswise: one more quad from the last pair to the first, turned over.
    const n = 12;
    const moebius = {
      ...strip,
      triangles: Uint32Array.from([
        ...strip.triangles.slice(0, -6),
        n - 1,
        n,
        2 * n - 1,
        2 * n - 1,
        n,
        0,
      ]),
    };
    expect((await repairForSolid(moebius)).refusal).toMatchObject({ reason: 'one-sided' });
    expect((await repairForSolid(meshFrom([], []))).refusal).toEqual({ reason: 'no-facets' });
    const box = boxMesh([1, 1, 1]);
    const fin = {
      positions: Float64Array.from([...box.positions, 5, 5, 5]),
      triangles: Uint32Array.from([...box.triangles, 0, 1, 8]),
    };
    expect((await repairForSolid(fin)).refusal).not.toBeNull();
  });
});
