import { describe, expect, it } from 'vitest';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { dot, type Vec3 } from '../../src/math/index.ts';
import { torusMesh, type Mesh } from '../../src/mesh/index.ts';
import { proposeSplit } from '../../src/split/index.ts';
import { reflectMesh } from '../../src/split/reflect.ts';
import { inverse, mirroredTree, mirrorOf } from '../../src/split/twin.ts';

/** A ring nowhere symmetrical, meshed as finely as asked; the shape stays. */
function ring(around: number, across: number): Mesh {
  const mesh = torusMesh(110, 30, around, across);
  const positions = mesh.positions.slice();
  for (let i = 0; i < positions.length; i += 3) {
    const [x, y, z] = positions.subarray(i, i + 3) as unknown as [number, number, number];
    const k = 1 + 0.1 * Math.sin(2 * Math.atan2(y, x) + 1) + 0.0012 * x;
    positions.set([k * x, k * y + 0.4 * z, 1.3 * k * z], i);
  }
  return { ...mesh, positions };
}

const moved = (mesh: Mesh, by: Vec3): Mesh => ({
  ...mesh,
  positions: mesh.positions.map((x, i) => x + (by[i % 3] as number)),
});
const otherSide = (mesh: Mesh): Mesh => moved(reflectMesh(mesh, [-1, 1, 1]), [500, 7, -3]);
const machine = [boxEnvelope(220, 220, 250)];

describe('mirror images', () => {
  const left = ring(96, 40);
  const right = otherSide(ring(104, 44));

  it('are known though they are meshed apart and lie elsewhere', () => {
    const mirror = mirrorOf(left, right);
    expect(mirror?.signs).toEqual([-1, 1, 1]);
    mirror?.moveMm.forEach((x, i) => expect(x).toBeCloseTo([500, 7, -3][i] as number, 0));
  });

  it('are none where they are alike to the last corner, turned, or another shape', () => {
    expect(mirrorOf(left, otherSide(left))).toBeNull();
    expect(mirrorOf(left, moved(ring(104, 44), [500, 7, -3]))).toBeNull();
    expect(mirrorOf(left, otherSide(torusMesh(110, 30, 104, 44)))).toBeNull();
  });

  it('bring planes over and back again', () => {
    const mirror = { signs: [-1, 1, 1], moveMm: [500, 7, -3] } as const;
    const cut = { normal: [0.6, 0, 0.8] as const, offsetMm: 12, origin: 'axis' };
    const tree = { cut, below: null, above: { cut: { ...cut, normal: [0, 0, 1] as const }, below: null, above: null } }; // prettier-ignore
    const there = mirroredTree(tree, mirror);
    // A point of the plane is mirrored into the mirrored plane.
    const p: Vec3 = [12 * 0.6, 5, 12 * 0.8];
    const q: Vec3 = [500 - p[0], 7 + p[1], p[2] - 3];
    expect(there && dot(there.cut.normal, q)).toBeCloseTo(there?.cut.offsetMm ?? NaN, 9);
    expect(mirroredTree(there, inverse(mirror))).toMatchObject({
      cut: { normal: [expect.closeTo(0.6), 0, expect.closeTo(0.8)], offsetMm: expect.closeTo(12) as number },
      below: null,
      above: { cut: { normal: [expect.closeTo(0), 0, 1] } },
    }); // prettier-ignore
  });

  it('get mirrored plans, each certified on its own mesh', () => {
    const [here, there] = [
      proposeSplit(left, machine, { alternatives: 1, twin: right }),
      proposeSplit(right, machine, { alternatives: 1, twin: left }),
    ];
    const mirror = mirrorOf(left, right);
    const [plan, its] = [here.plans[0], there.plans[0]];
    expect(plan?.complete && its?.complete).toBe(true);
    expect(plan?.pieces.length).toBe(its?.pieces.length);
    expect(plan?.pieces.length).toBeGreaterThan(1);
    for (const plane of plan?.planes ?? []) {
      const tree = mirroredTree({ cut: plane, below: null, above: null }, mirror ?? { signs: [1, 1, 1], moveMm: [0, 0, 0] }); // prettier-ignore
      const same = its?.planes.filter(
        (p) =>
          tree &&
          dot(p.normal, tree.cut.normal) > 1 - 1e-9 &&
          Math.abs(p.offsetMm - tree.cut.offsetMm) < 1e-6,
      );
      expect(same).toHaveLength(1);
    }
    expect(here.remarks.join()).toContain('mirror image');
  });

  it('do without each other where a place of one is to be kept whole', () => {
    const keep = [{ shape: 'sphere', centreMm: [0, 110, 0], radiusMm: 5 }] as const;
    const { remarks } = proposeSplit(left, machine, { alternatives: 1, twin: right, keep });
    expect(remarks.join()).not.toContain('mirror image');
  });
});
