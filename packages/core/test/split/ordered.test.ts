import { describe, expect, it } from 'vitest';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { seededRandom, type Vec3 } from '../../src/math/index.ts';
import { ballMesh, flipTriangles, torusMesh, type Mesh } from '../../src/mesh/index.ts';
import { proposeSplit, splitSettingsSchema } from '../../src/split/index.ts';
import { inOrder } from '../../src/split/ordered.ts';
import { handedness, reflectMesh } from '../../src/split/reflect.ts';

/** The same body as another program might write it: vertices, facets and their corners shuffled. */
function shuffled({ positions, triangles }: Mesh, seed: number): Mesh {
  const random = seededRandom(seed);
  const shuffle = (count: number): number[] => {
    const list = Array.from({ length: count }, (_, i) => i);
    for (let i = count - 1; i > 0; i--) {
      const j = Math.floor(random() * (i + 1));
      [list[i], list[j]] = [list[j] as number, list[i] as number];
    }
    return list;
  };
  const places = shuffle(positions.length / 3);
  const rank = new Uint32Array(places.length);
  places.forEach((old, i) => (rank[old] = i));
  return {
    positions: Float64Array.from(places.flatMap((old) => [...positions.slice(3 * old, 3 * old + 3)])),
    triangles: Uint32Array.from(
      shuffle(triangles.length / 3).flatMap((f) => {
        const first = Math.floor(random() * 3);
        return [0, 1, 2].map((k) => rank[triangles[3 * f + ((first + k) % 3)] as number] as number);
      }),
    ),
  };
} // prettier-ignore

const mirrored = (mesh: Mesh, axis: number): Mesh => ({
  positions: mesh.positions.map((x, i) => (i % 3 === axis ? 0 - x : x)),
  triangles: flipTriangles(mesh.triangles),
});

/** A ball pulled out of shape, with no symmetry left. */
const lump = (): Mesh => {
  const { positions, triangles } = ballMesh(1, 3);
  const moved = positions.slice();
  for (let i = 0; i < moved.length; i += 3) {
    const [x, y, z] = positions.slice(i, i + 3) as unknown as Vec3;
    moved.set([90 * x + 30 * y * z + 20 * x * x, 40 * y + 9 * y * y * y, 330 * z + 40 * z * z], i);
  }
  return { positions: moved, triangles };
};

describe('the order of a mesh', () => {
  it.each([['lump', lump()], ['torus', torusMesh(120, 30, 40, 20)]] as const)('is that of places, whatever it was: %s', (_, mesh) => {
    const one = inOrder(mesh);
    for (const seed of [1, 2, 3]) expect(inOrder(shuffled(mesh, seed))).toEqual(one);
    // Nothing is lost: x never falls (but for rounding), and every facet keeps its corners and its sense.
    for (let i = 3; i < one.positions.length; i += 3)
      expect(one.positions[i]).toBeGreaterThanOrEqual((one.positions[i - 3] as number) - 1e-4);
    const facets = ({ positions, triangles }: Mesh): string[] =>
      Array.from({ length: triangles.length / 3 }, (__, f) => {
        const corners = [0, 1, 2].map((k) => {
          const v = 3 * (triangles[3 * f + k] as number);
          return positions.slice(v, v + 3).join();
        });
        const first = corners.indexOf([...corners].sort()[0] as string);
        return [0, 1, 2].map((k) => corners[(first + k) % 3]).join('|');
      }).sort();
    expect(facets(one)).toEqual(facets(mesh));
  }); // prettier-ignore
});

describe('a part and its mirror images', () => {
  // A torus is its own image in three planes, but the diagonals of its facets are not.
  it.each([['lump', lump()], ['torus', torusMesh(120, 30, 40, 20)]] as const)('come to one form: %s', (_, mesh) => {
    const form = (m: Mesh): Mesh => inOrder(reflectMesh(m, handedness(m, true)));
    const round = ({ positions, triangles }: Mesh): unknown => [positions.map((x) => Math.round(1e6 * x) + 0), triangles]; // prettier-ignore
    for (const axis of [0, 1, 2])
      expect(round(form(shuffled(mirrored(mesh, axis), 5)))).toEqual(round(form(mesh)));
  }); // prettier-ignore

  it('are cut at the same places, however their facets are ordered', () => {
    const plan = (mesh: Mesh): number[][] => {
      // Planes are moved about at random, too, but not for long.
      const settings = splitSettingsSchema.parse({
        fewerMoves: 100,
        settleMoves: 100,
        beam: 2,
        offsets: 59,
      });
      const options = { alternatives: 1, settings };
      const [best] = proposeSplit(mesh, [boxEnvelope(220, 220, 250)], options).plans;
      return (best?.planes ?? []).map((p) => [...p.normal, p.offsetMm]);
    };
    const mesh = lump();
    const planes = plan(mesh);
    expect(planes.length).toBeGreaterThan(1);
    expect(plan(shuffled(mesh, 7))).toEqual(planes);
    const image = plan(shuffled(mirrored(mesh, 1), 8)).map(([x = 0, y = 0, z = 0, at = 0]) => [x, -y, z, at]); // prettier-ignore
    const rounded = (list: number[][]): string[] =>
      list.map((p) => {
        const sense = Math.sign(p.slice(0, 3).reduce((a, b) => (Math.abs(b) > Math.abs(a) + 1e-6 ? b : a))); // prettier-ignore
        return p.map((x) => (Math.round(1e4 * sense * x) + 0).toString()).join();
      });
    expect(rounded(image).sort()).toEqual(rounded(planes).sort());
  });
});
