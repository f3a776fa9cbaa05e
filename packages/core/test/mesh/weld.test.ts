import { describe, expect, it } from 'vitest';
import {
  boundsOf, boxMesh, closeSeams, edgeNeighbours, edgesBalance, meshFrom, OPEN, readParts, SEAM_LADDER,
  seededRandom, sizeOf, torusMesh, vertexCount, weldWithin, type Mesh,
} from '../../src/index.ts'; // prettier-ignore
import { errorOf, stlModel, volumeOf } from '../read/helpers.ts';

/** Each facet with corners of its own, each moved by up to `by` per axis: a mesh open by rounding. */
function loosened(mesh: Mesh, by: number, share: number, seed: number): Mesh {
  const random = seededRandom(seed);
  const positions = new Float64Array(3 * mesh.triangles.length);
  mesh.triangles.forEach((v, i) => {
    const moved = random() < share;
    for (let k = 0; k < 3; k++) positions[3 * i + k] = mesh.positions[3 * v + k]! + (moved ? (2 * random() - 1) * by : 0); // prettier-ignore
  });
  // The exact weld joins what was not moved.
  return weldWithin({ positions, triangles: Uint32Array.from(positions.subarray(0, positions.length / 3), (_, i) => i) }, 1e-300).mesh; // prettier-ignore
}
const openEdges = (mesh: Mesh): number => edgeNeighbours(mesh).filter((n) => n === OPEN).length;
const diagonal = (mesh: Mesh): number => Math.hypot(...sizeOf(boundsOf(mesh.positions)));

describe('tolerance weld', () => {
  const torus = torusMesh(50, 20, 40, 30);

  it('joins what lies within the tolerance and nothing beyond', () => {
    const points = meshFrom([[0, 0, 0], [1, 0, 0], [0, 1, 0], [1.05, 0, 0], [0, 1.2, 0]], [[0, 1, 2], [0, 4, 3]]); // prettier-ignore
    const weld = weldWithin(points, 0.1);
    expect(weld.verticesMerged).toBe(1);
    expect(vertexCount(weld.mesh)).toBe(4);
    expect(vertexCount(weldWithin(points, 0.2001).mesh)).toBe(3);
    expect(vertexCount(weldWithin(points, 0.04).mesh)).toBe(5);
  });

  it('moves no vertex farther than the tolerance, however long the chain', () => {
    const n = 50;
    const chain = meshFrom(
      Array.from({ length: n }, (_, i) => [0.9 * i, 0, 0] as const),
      Array.from({ length: n - 2 }, (_, i) => [i, i + 1, i + 2] as const),
    );
    const kept = weldWithin(chain, 1);
    // Every second one is kept: 0, 1.8, 3.6, ... each taking the one 0.9 on.
    expect(kept.verticesMerged).toBe(25);
  });

  it('drops facets left with two corners, keeps those the file had', () => {
    const mesh = meshFrom([[0, 0, 0], [1, 0, 0], [1, 1e-6, 0], [0, 1, 0]], [[0, 1, 2], [0, 2, 3], [0, 0, 3]]); // prettier-ignore
    const weld = weldWithin(mesh, 1e-5);
    expect(weld.facetsDropped).toBe(1);
    expect(weld.mesh.triangles.length).toBe(6);
  });

  it('refuses a tolerance that is no length', () => {
    for (const t of [0, -1, NaN, Infinity]) expect(errorOf(() => weldWithin(torus, t)).code).toBe('BAD_TOLERANCE'); // prettier-ignore
  });
});

describe('closing seams', () => {
  const torus = torusMesh(50, 20, 40, 30);

  it('leaves a closed mesh alone', () => {
    expect(closeSeams(torus)).toBeNull();
    expect(closeSeams(boxMesh([1, 1, 1]))).toBeNull();
  });

  for (const relative of [2e-7, 2e-6])
    it(`closes a torus whose corners are off by ${relative} of its diagonal`, () => {
      const open = loosened(torus, (relative * diagonal(torus)) / (2 * Math.sqrt(3)), 0.2, 11);
      expect(openEdges(open)).toBeGreaterThan(100);
      const closed = closeSeams(open);
      expect(closed?.openEdgesBefore).toBe(openEdges(open));
      expect(closed && openEdges(closed.mesh)).toBe(0);
      expect(closed?.relative).toBeLessThanOrEqual(1e-5);
      expect(vertexCount(closed!.mesh)).toBe(vertexCount(torus));
      expect(volumeOf(closed!.mesh) / volumeOf(torus)).toBeCloseTo(1, 5);
    });

  it('tells of the weld when reading', () => {
    const open = loosened(torus, 1e-6 * diagonal(torus), 0.1, 12);
    const text = `solid t\n${Array.from({ length: open.triangles.length / 3 }, (_, f) => `facet\nouter loop\n${[0, 1, 2].map((k) => `vertex ${[0, 1, 2].map((a) => open.positions[3 * open.triangles[3 * f + k]! + a]).join(' ')}\n`).join('')}endloop\nendfacet\n`).join('')}endsolid\n`; // prettier-ignore
    const bytes = new TextEncoder().encode(text);
    const [part] = readParts(bytes);
    expect(part?.notes.map((note) => note.code)).toEqual(['SEAMS_WELDED']);
    expect(openEdges(part!.mesh)).toBe(0);
    const [exact] = readParts(bytes, { seams: 'off' });
    expect(exact?.notes).toEqual([]);
    expect(openEdges(exact!.mesh)).toBe(openEdges(open));
  });

  it('never goes past its limit, and leaves a mesh with a hole as it was', () => {
    expect(Math.max(...SEAM_LADDER)).toBe(1e-5);
    expect(closeSeams(loosened(torus, 1e-4 * diagonal(torus), 0.2, 13))).toBeNull();
    expect(closeSeams({ ...torus, triangles: torus.triangles.slice(3) })).toBeNull();
  });

  it('leaves the open bunny open: five holes of published count, 223 edges', () => {
    const [part] = readParts(stlModel('objects/bunny.bin.stl'));
    expect(part?.notes).toEqual([]);
    expect(openEdges(part!.mesh)).toBe(223);
  });

  it('sees balance by sums as by neighbours', () => {
    const random = seededRandom(5);
    for (let i = 0; i < 200; i++) {
      const triangles = torus.triangles.slice();
      expect(edgesBalance(triangles)).toBe(true);
      const f = 3 * Math.floor(random() * (triangles.length / 3));
      if (i % 2) [triangles[f], triangles[f + 1]] = [triangles[f + 1]!, triangles[f]!];
      else triangles[f] = Math.floor(random() * 1200);
      expect(edgesBalance(triangles)).toBe(triangles[f] === torus.triangles[f]);
    }
  });
});
