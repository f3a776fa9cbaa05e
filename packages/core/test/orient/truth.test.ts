import { describe, expect, it } from 'vitest';
import {
  ballMesh,
  boxMesh,
  joinMeshes,
  scaleMesh,
  torusMesh,
  type Mesh,
} from '../../src/mesh/index.ts';
import { evaluateSupports, supportTruth } from '../../src/orient/index.ts';
import { bodyOf } from '../../src/orient/turned.ts';
import { directions, fixture, model } from './bodies.ts';

describe('columns against rays through a tree of boxes (three-mesh-bvh)', () => {
  const table = joinMeshes([
    boxMesh([80, 60, 6], [0, 0, 40]),
    ...[[2, 2], [68, 2], [2, 48], [68, 48]].map(([x, y]) => boxMesh([10, 10, 41], [x as number, y as number, 0])),
    boxMesh([50, 30, 4], [15, 15, 15]),
  ]); // prettier-ignore
  const bodies: [string, Mesh, boolean, boolean][] = [
    ['a ball', ballMesh(20, 4), true, false],
    ['a ring', torusMesh(30, 9, 80, 40), true, false],
    ['a table with a loose shelf', table, true, true],
    ['a gear wheel', model('gearwheel.bin.stl'), true, false],
    ['an open scan', scaleMesh(model('bunny.bin.stl'), 1000), false, false],
  ];
  const named = bodies.map(([name, mesh, closed, overlaps]) => ({ name, mesh, closed, overlaps }));
  it.each(named)('agree within 1 % on $name, seed 11', async ({ mesh, closed, overlaps }) => {
    const truth = await supportTruth(mesh, overlaps);
    const body = bodyOf(mesh, closed);
    let compared = 0;
    for (const up of directions(11, 6)) {
      const fast = evaluateSupports(body, up, { selfSupportDeg: 45 }).volumeMm3;
      const slow = truth(up, { selfSupportDeg: 45, rays: 20_000 });
      expect(Math.abs(fast - slow)).toBeLessThanOrEqual(0.01 * slow + 1e-9);
      if (slow > 0) compared++;
    }
    expect(compared).toBeGreaterThan(2);
  });

  // Upright, supports stand below edges of half a percent of its outline; the rest is hidden.
  it('agree within 1 % on a large thin shell, upright and lying', async () => {
    const mesh = fixture('coat-front');
    const truth = await supportTruth(mesh);
    const body = bodyOf(mesh, true);
    for (const up of [
      [0, 0, 1],
      [0, 0, -1],
      [1, 0, 0],
      [0, 1, 0],
    ] as const) {
      const fast = evaluateSupports(body, up, { selfSupportDeg: 45 }).volumeMm3;
      const slow = truth(up, { selfSupportDeg: 45, rays: 100_000 });
      expect(slow).toBeGreaterThan(30_000);
      expect(Math.abs(fast / slow - 1)).toBeLessThan(0.01);
    }
  });
});
