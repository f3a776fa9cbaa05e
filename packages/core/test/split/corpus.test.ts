import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { quatFromTurnsDeg, quatToMatrix, seededRandom } from '../../src/math/index.ts';
import { ballMesh, boundsOf, boxMesh, cylinderMesh, joinMeshes, massProperties, scaleMesh, sizeOf, torusMesh, transformMesh, type Mesh } from '../../src/mesh/index.ts'; // prettier-ignore
import { readParts } from '../../src/read/index.ts';
import { proposeSplit } from '../../src/split/index.ts';

const box = boxEnvelope(220, 220, 250);

/** What must hold of any answer: a complete plan, or a stated reason; figures that add up. */
function expectAnswer(mesh: Mesh): number {
  const split = proposeSplit(mesh, [box], { alternatives: 1 });
  const [plan] = split.plans;
  if (!plan?.complete) {
    expect([...split.remarks, ...(plan?.remarks ?? [])].join()).not.toBe('');
    return 0;
  }
  expect(plan.pieces.length).toBeGreaterThanOrEqual(split.lowerBound.count);
  expect(plan.cuts).toHaveLength(plan.pieces.length - 1);
  for (const piece of plan.pieces) expect(piece.fit.placement).not.toBeNull();
  if (split.closed) {
    const whole = Math.abs(massProperties(mesh).volumeMm3);
    const sum = plan.pieces.reduce((v, p) => v + (p.volumeMm3 as number), 0);
    expect(Math.abs(sum - whole)).toBeLessThan(1e-9 * whole);
  }
  return plan.pieces.length;
}

describe('any part', () => {
  it('of random solids, overlapping and turned, gets a complete plan (seed 5)', () => {
    const random = seededRandom(5);
    let cut = 0;
    for (let i = 0; i < 12; i++) {
      const some = Array.from({ length: 1 + Math.floor(3 * random()) }, () => {
        const size = 60 + 200 * random();
        const kinds = [
          () => boxMesh([size, 30 + 80 * random(), 20 + 90 * random()]),
          () => cylinderMesh(20 + 50 * random(), size, 24),
          () => ballMesh(size / 3, 2),
          () => torusMesh(size / 3, size / 10, 24, 12),
        ];
        const turn = quatToMatrix(
          quatFromTurnsDeg([360 * random(), 90 * random(), 360 * random()]),
        );
        const make = kinds[Math.floor(4 * random())] as () => Mesh;
        return transformMesh(make(), turn, [80 * random(), 80 * random(), 80 * random()]);
      });
      const pieces = expectAnswer(scaleMesh(joinMeshes(some), 1.2));
      expect(pieces).toBeGreaterThan(0);
      if (pieces > 1) cut++;
    }
    expect(cut).toBeGreaterThan(3);
  });

  it('of the npm package stl-models, brought to 150 to 600 mm, ends in a plan or a reason', () => {
    const folder = dirname(createRequire(import.meta.url).resolve('stl-models/package.json'));
    let plans = 0;
    for (const file of ['objects/gearwheel.bin.stl', 'polytopes/tetrahedronIrregular.bin.stl', 'polytopes/cube.bin.stl', 'objects/bunny.bin.stl'])
      for (const size of file.startsWith('objects') ? [400] : [150, 300, 600]) {
        const mesh = readParts(readFileSync(join(folder, file)), { name: file })[0]?.mesh as Mesh;
        const longest = Math.max(...sizeOf(boundsOf(mesh.positions)));
        if (expectAnswer(scaleMesh(mesh, size / longest)) > 0) plans++;
      }
    expect(plans).toBe(8);
  }, 180_000); // prettier-ignore
});
