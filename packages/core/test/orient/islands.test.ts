import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/math/index.ts';
import { boxMesh, edgeNeighbours, joinMeshes, shells, type Mesh } from '../../src/mesh/index.ts';
import { islandsOf, vertexLinks } from '../../src/orient/islands.ts';
import { bodyOf, turn } from '../../src/orient/turned.ts';
import { directions } from './bodies.ts';

function islands(mesh: Mesh, up: Vec3, layerMm = 0.2) {
  const body = bodyOf(mesh, true);
  const { count, labels } = shells(mesh, edgeNeighbours(mesh));
  return islandsOf(body, vertexLinks(mesh), count > 1 ? labels : null, turn(body, up), layerMm);
}

describe('islands', () => {
  it('finds the one arm end that begins below the trunk it joins higher up', () => {
    // A hook: post, arm on top, tip hanging down from the arm's end; one outline, 10 thick.
    const hook = hookMesh(12);
    const found = islands(hook, [0, 0, 1]);
    expect(found.map((i) => i.heightMm)).toEqual([12]);
    // Upside down everything grows out of the arm.
    expect(islands(hook, [0, 0, -1])).toEqual([]);
  });

  it('sees no island in a hollow nor where a shell stands on or in another', () => {
    const plate = boxMesh([40, 40, 5]);
    const standing = boxMesh([10, 10, 20], [15, 15, 5]);
    const sunk = boxMesh([10, 10, 20], [2, 2, 3]);
    expect(islands(joinMeshes([plate, standing, sunk]), [0, 0, 1])).toEqual([]);
    const loose = boxMesh([10, 10, 20], [25, 25, 7]);
    expect(islands(joinMeshes([plate, loose]), [0, 0, 1]).map((i) => i.heightMm)).toEqual([7]);
  });

  it('does not count a dip that closes within its layer', () => {
    expect(islands(hookMesh(39.95), [0, 0, 1], 0.2)).toEqual([]);
    expect(islands(hookMesh(39.5), [0, 0, 1], 0.2)).toHaveLength(1);
  });

  it('finds every tip of a row of hooks, lowest first, at any layer height', () => {
    const row = joinMeshes(
      [20, 5, 12].map((tip, i) => ({
        ...hookMesh(tip),
        positions: hookMesh(tip).positions.map((x, k) => (k % 3 === 0 ? x + 60 * i : x)),
      })),
    );
    for (const layer of [0.1, 0.3, 1])
      expect(islands(row, [0, 0, 1], layer).map((i) => i.heightMm)).toEqual([5, 12, 20]);
  });

  it('says where it begins: no other vertex of the tip lies lower, seed 5', () => {
    const hook = hookMesh(12);
    let total = 0;
    for (const up of directions(5, 40)) {
      const heights = Array.from({ length: 16 }, (_, v) =>
        [0, 1, 2].reduce(
          (s, k) => s + (hook.positions[3 * v + k] as number) * (up[k] as number),
          0,
        ),
      );
      const plate = Math.min(...heights);
      // Corners of the outline whose inner angle is 90 degrees can begin a piece, the two where
      // tip and post meet the arm cannot; a corner begins one when both its neighbours and its
      // partner across the thickness are higher by more than a layer.
      const n = 8;
      const begins = heights.filter((h, v) => {
        const [side, c] = [Math.floor(v / n), v % n];
        const around = [side * n + ((c + 1) % n), side * n + ((c + n - 1) % n), (1 - side) * n + c];
        return (
          c !== 2 && c !== 3 && h > plate + 0.01 && around.every((w) => (heights[w] as number) > h)
        );
      });
      const found = islands(hook, up, 0.01).map((i) => i.heightMm + plate);
      expect(found.length).toBe(begins.length);
      total += found.length;
    }
    expect(total).toBeGreaterThan(10);
  });
});

/** Hook in the plane y: post 0..10, arm 40..50 high, tip 30..40 wide down to `tip`. */
function hookMesh(tip: number): Mesh {
  const outline: [number, number][] = [[0, 0], [10, 0], [10, 40], [30, 40], [30, tip], [40, tip], [40, 50], [0, 50]]; // prettier-ignore
  const faces = [
    [0, 1, 2],
    [0, 2, 7],
    [2, 3, 7],
    [3, 6, 7],
    [3, 4, 5],
    [3, 5, 6],
  ];
  const n = outline.length;
  const positions = new Float64Array(6 * n);
  outline.forEach(([x, z], i) => {
    positions.set([x, 0, z], 3 * i);
    positions.set([x, 10, z], 3 * (n + i));
  });
  const triangles: number[] = [];
  for (const [a, b, c] of faces as [number, number, number][])
    triangles.push(a, b, c, n + a, n + c, n + b);
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    triangles.push(i, n + j, j, i, n + i, n + j);
  }
  return { positions, triangles: Uint32Array.from(triangles) };
}
