import { describe, expect, it } from 'vitest';
import { splitBodies } from '../../bench/split-bodies.ts';
import { SEAM_ALONE } from '../../bench/split-random.ts';
import { boxEnvelope } from '../../src/envelope/index.ts';
import type { Vec3 } from '../../src/math/index.ts';
import {
  ballMesh,
  boxMesh,
  flipTriangles,
  joinMeshes,
  torusMesh,
  type Mesh,
} from '../../src/mesh/index.ts';
import { bodyFrom, skinPoints } from '../../src/split/body.ts';
import { halve } from '../../src/split/halve.ts';
import { hiddenOutline } from '../../src/split/hidden.ts';
import { segmentsOf } from '../../src/split/segments.ts';
import { makeLeaf, type Leaf, type Task } from '../../src/split/leaf.ts';
import { prepareSplit } from '../../src/split/prepare.ts';

const start = (mesh: Mesh, size: Vec3): { root: Leaf; task: Task } => {
  const { thin, task } = prepareSplit(mesh, [boxEnvelope(...size)], { settings: SEAM_ALONE });
  return { root: makeLeaf(thin.body, [], task), task };
};

describe('one cut for two', () => {
  it('leaves two sides that are certified to fit, for less than it may cost', () => {
    for (const name of ['limb, thin in the middle', 'crescent', 'plate with a foot', 'vase']) {
      const { root, task } = start((splitBodies[name] as () => Mesh)(), [220, 220, 250]);
      const fork = halve(root, task, 650);
      expect(fork, name).not.toBeNull();
      for (const side of [fork?.below, fork?.above] as Leaf[])
        expect(task.judge.certify(skinPoints(side.body), 4000).fits, name).toBe(true);
      expect(halve(root, task, 20), name).toBeNull();
    }
  });

  it('is none where two pieces are proved too few', () => {
    // The bar of propose.test.ts: a plane leaves a piece with a full-section bar of 480 or more.
    const { root, task } = start(boxMesh([1000, 100, 100]), [300, 300, 300]);
    expect(halve(root, task, 1e6)).toBeNull();
  });

  it('stays within the directions that are allowed', () => {
    const bar = boxMesh([60, 60, 400]);
    const { thin, task } = prepareSplit(bar, [boxEnvelope(220, 220, 250)], { directions: [[0, 1, 2]] });
    const fork = halve(makeLeaf(thin.body, [], task), task, 1e4);
    expect(Math.abs((fork?.cut.normal[2] ?? 0) / (fork?.cut.normal[1] ?? 1))).toBeCloseTo(2, 9);
  }); // prettier-ignore
});

describe('the hidden part of an outline', () => {
  // A torus R = 50, r = 12 of 96 x 48 corners: across its axis the section is a ring, whose inner
  // circle is a regular 96-gon; along the axis two discs with nothing inside.
  it('of a ring is its inner circle when cut across its axis, and nothing along it', () => {
    const ring = bodyFrom(torusMesh(50, 12, 96, 48));
    const across = hiddenOutline(segmentsOf(ring, { normal: [0, 0, 1], offsetMm: 1e-7 }, null));
    expect(across.lengthMm).toBeCloseTo(2 * 96 * 38 * Math.sin(Math.PI / 96), 4);
    expect(across.seenMm).toBe(across.lengthMm);
    expect(hiddenOutline(segmentsOf(ring, { normal: [1, 0, 0], offsetMm: 3 }, null)).lengthMm).toBe(
      0,
    );
  });

  it('of a hollow ball is the inner sphere, whichever way it is cut', () => {
    const inner = ballMesh(40, 5);
    const hollow = bodyFrom(joinMeshes([ballMesh(50, 5), { ...inner, triangles: flipTriangles(inner.triangles) }]));
    const { lengthMm } = hiddenOutline(segmentsOf(hollow, { normal: [0.48, 0.6, 0.64], offsetMm: 10 }, null));
    const circle = 2 * Math.PI * Math.sqrt(40 ** 2 - 10 ** 2);
    expect(Math.abs(lengthMm - circle)).toBeLessThan(0.005 * circle);
  }); // prettier-ignore
});
