import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { bodyOf, likeness } from '../../src/kit/alike.ts';
import { otherSide, surveyKit } from '../../src/kit/index.ts';
import { quatFromTurnsDeg, quatToMatrix, rotate, distance, pointAt, seededRandom, add, type Vec3 } from '../../src/math/index.ts'; // prettier-ignore
import { boxMesh, cornerTetrahedron, cylinderMesh, joinMeshes, scaleMesh, torusMesh, transformMesh, type Mesh } from '../../src/mesh/index.ts'; // prettier-ignore
import { readParts } from '../../src/read/index.ts';

const float32 = (mesh: Mesh): Mesh => ({ ...mesh, positions: Float64Array.from(Float32Array.from(mesh.positions)) }); // prettier-ignore
/** Vertices renumbered at random, facets reordered: nothing may depend on the order. */
function shuffled(mesh: Mesh, seed: number): Mesh {
  const random = seededRandom(seed);
  const n = mesh.positions.length / 3;
  const order = Array.from({ length: n }, (_, i) => i).sort(() => random() - 0.5);
  const to = new Uint32Array(n);
  const positions = new Float64Array(3 * n);
  order.forEach((from, k) => {
    to[from] = k;
    positions.set(pointAt(mesh.positions, from), 3 * k);
  });
  return { positions, triangles: mesh.triangles.map((i) => to[i] as number) };
}
const turn = (mesh: Mesh, turns: Vec3, move: Vec3): Mesh =>
  transformMesh(mesh, quatToMatrix(quatFromTurnsDeg(turns)), move);

const bodies: [string, Mesh, boolean][] = [
  ['a corner tetrahedron (chiral)', cornerTetrahedron(30, 20, 10), true],
  ['a box', boxMesh([30, 20, 10]), false],
  ['a cube', boxMesh([20, 20, 20]), false],
  ['a cylinder', cylinderMesh(10, 30, 48), false],
  ['a torus', torusMesh(20, 5, 24, 12), false],
  ['a torus with an arm (chiral)', joinMeshes([torusMesh(20, 5, 24, 12), boxMesh([30, 4, 3], [20, 2, 1]), boxMesh([3, 9, 4], [40, 5, 3])]), true], // prettier-ignore
];

describe('copies and mirror images', () => {
  it.each(bodies)(
    '%s is found again turned, moved, reordered and rounded to 32 bits',
    (_, mesh) => {
      const other = float32(shuffled(turn(mesh, [33, -71, 128], [400, -250, 90]), 3));
      const like = likeness(bodyOf(mesh), bodyOf(other));
      expect(like?.kind).toBe('copy');
      // The turn found maps every vertex of one onto some vertex of the other.
      for (let i = 0; i < Math.min(20, mesh.positions.length / 3); i++) {
        const p = add(rotate(like?.turn ?? [1, 0, 0, 0, 1, 0, 0, 0, 1], pointAt(mesh.positions, i)), like?.moveMm ?? [0, 0, 0]); // prettier-ignore
        let least = Infinity;
        for (let k = 0; k < other.positions.length / 3; k++) least = Math.min(least, distance(p, pointAt(other.positions, k))); // prettier-ignore
        expect(least).toBeLessThan(1e-3);
      }
    },
  );

  it.each(bodies)('%s and its mirror image: twin only when it has a hand', (_, mesh, chiral) => {
    const mirrored = float32(turn(scaleMesh(mesh, -1), [10, 20, 30], [5, 6, 7]));
    expect(likeness(bodyOf(mesh), bodyOf(mirrored))?.kind).toBe(chiral ? 'twin' : 'copy');
  });

  it('tells apart what differs in one vertex', () => {
    const mesh = torusMesh(20, 5, 24, 12);
    const other = { ...mesh, positions: mesh.positions.slice() };
    other.positions[7] = (other.positions[7] as number) + 0.02;
    expect(likeness(bodyOf(mesh), bodyOf(other))).toBeNull();
    expect(likeness(bodyOf(mesh), bodyOf(scaleMesh(mesh, 1.001)))).toBeNull();
  });

  it('finds those of the Lamplighter: two mirrored pairs of legs, one of rings, one duplicate', () => {
    const files = ['boot-left', 'boot-right', 'leg-left', 'leg-right', 'shoulder-ring-left', 'shoulder-ring-right', 'arm-left', 'arm-right', 'coat-button', 'coat-button-copy', 'hips']; // prettier-ignore
    const parts = files.map((file) => ({ file, mesh: readParts(readFileSync(new URL(`../../../../fixtures/lamplighter/${file}.stl`, import.meta.url)))[0]?.mesh as Mesh })); // prettier-ignore
    const survey = surveyKit(parts);
    const pairs = survey.alike.map((a) => [a.file, a.of, a.kind]);
    expect(pairs).toContainEqual(['boot-right', 'boot-left', 'twin']);
    expect(pairs).toContainEqual(['leg-right', 'leg-left', 'twin']);
    expect(pairs).toContainEqual(['coat-button-copy', 'coat-button', 'copy']);
    expect(pairs.some(([a]) => a === 'shoulder-ring-right')).toBe(true);
    // One arm holds the lamp, the other hangs.
    expect(survey.unlikeTwins).toEqual([{ file: 'arm-left', other: 'arm-right' }]);
    expect(survey.missingTwins).toEqual([]);
    expect(surveyKit(parts.slice(1)).missingTwins).toEqual([{ file: 'boot-right', missing: 'boot-left' }]); // prettier-ignore
  });

  it('knows the other side of a name', () => {
    expect(otherSide('legs/Boot_Left.stl')).toBe('legs/Boot_Right.stl');
    expect(otherSide('ARM-RIGHT.STL')).toBe('ARM-LEFT.STL');
    expect(otherSide('bright.stl')).toBeNull();
    expect(otherSide('leftover.stl')).toBeNull();
  });
});
