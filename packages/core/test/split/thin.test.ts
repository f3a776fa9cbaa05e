import { describe, expect, it } from 'vitest';
import { boxMesh, cylinderMesh, edgeNeighbours, joinMeshes, massProperties, OPEN, torusMesh, type Mesh } from '../../src/mesh/index.ts'; // prettier-ignore
import { supportError } from '../../src/split/frames.ts';
import { isClosed } from '../../src/split/prepare.ts';
import { thinMesh } from '../../src/split/thin.ts';

const facets = (mesh: Mesh): number => mesh.triangles.length / 3;
const closed = (mesh: Mesh): boolean => isClosed(mesh, edgeNeighbours(mesh));

const N = 40;
const at = (z: number, i: number, j: number): number => (z * (N + 1) + i) * (N + 1) + j;

/** One side of a plate 300 x 300 mm of 40 x 40 squares, two facets each; z is 0 or 1. */
const sheet = (z: number): number[] =>
  Array.from({ length: N * N }, (_, k) => [Math.floor(k / N), k % N] as const).flatMap(([i, j]) => {
    const [a, b, c, d] = [at(z, i, j), at(z, i + 1, j), at(z, i + 1, j + 1), at(z, i, j + 1)];
    return z === 1 ? [a, b, c, a, c, d] : [a, c, b, a, d, c];
  });

const points = Float64Array.from(
  [0, 2].flatMap((z) => Array.from({ length: (N + 1) ** 2 }, (_, k) => [(300 / N) * Math.floor(k / (N + 1)), (300 / N) * (k % (N + 1)), z]).flat()),
); // prettier-ignore

/** The plate, 2 mm thick. */
function finePlate(): Mesh {
  const round: number[] = [];
  for (let k = 0; k < N; k++) round.push(at(0, k, 0));
  for (let k = 0; k < N; k++) round.push(at(0, N, k));
  for (let k = N; k > 0; k--) round.push(at(0, k, N));
  for (let k = N; k > 0; k--) round.push(at(0, 0, k));
  const up = (N + 1) ** 2;
  const sides = round.flatMap((p, k) => {
    const q = round[(k + 1) % round.length] as number;
    return [p, q, q + up, p, q + up, p + up];
  });
  return { positions: points, triangles: Uint32Array.from([...sheet(0), ...sheet(1), ...sides]) };
}

describe('the coarser mesh', () => {
  it('keeps a thin plate apart: its volume is that of the plate', () => {
    const plate = finePlate();
    expect(closed(plate)).toBe(true);
    const thin = thinMesh(plate, 400);
    expect(facets(thin)).toBeLessThanOrEqual(400);
    expect(closed(thin)).toBe(true);
    expect(massProperties(thin).volumeMm3).toBeCloseTo(300 * 300 * 2, 3);
  });

  it('of curved bodies has their volume to 2 % and reaches as far', () => {
    for (const mesh of [torusMesh(130, 20, 96, 48), cylinderMesh(60, 400, 2000)]) {
      const thin = thinMesh(mesh, 1500);
      expect(facets(thin)).toBeLessThanOrEqual(1500);
      expect(closed(thin)).toBe(true);
      const whole = massProperties(mesh).volumeMm3;
      expect(Math.abs(massProperties(thin).volumeMm3 - whole)).toBeLessThan(0.02 * whole);
      expect(supportError(mesh.positions, thin.positions)).toBeLessThan(1);
    }
  });

  it('has only vertices of the mesh, and comes back as it is where it is small enough', () => {
    const mesh = torusMesh(130, 20, 48, 24);
    expect(thinMesh(mesh, 10_000)).toBe(mesh);
    const own = new Set<string>();
    for (let i = 0; i < mesh.positions.length; i += 3) own.add(mesh.positions.slice(i, i + 3).join());
    const thin = thinMesh(mesh, 500);
    for (let i = 0; i < thin.positions.length; i += 3)
      expect(own.has(thin.positions.slice(i, i + 3).join())).toBe(true);
  }); // prettier-ignore

  it('is the same whatever order vertices and facets come in', () => {
    const one = joinMeshes([torusMesh(130, 20, 48, 24), boxMesh([60, 60, 60], [200, 0, 0])]);
    const n = one.positions.length / 3;
    // Backwards: vertex i becomes n - 1 - i, facets from the last, each begun at another corner.
    const positions = new Float64Array(one.positions.length);
    for (let i = 0; i < n; i++) positions.set(one.positions.slice(3 * i, 3 * i + 3), 3 * (n - 1 - i));
    const triangles: number[] = [];
    for (let f = one.triangles.length - 3; f >= 0; f -= 3)
      for (const c of [1, 2, 0]) triangles.push(n - 1 - (one.triangles[f + c] as number));
    const other = { positions, triangles: Uint32Array.from(triangles) };
    const [a, b] = [thinMesh(one, 900), thinMesh(other, 900)];
    expect([...b.positions]).toEqual([...a.positions]);
    expect([...b.triangles]).toEqual([...a.triangles]);
  }); // prettier-ignore

  it('holds the borders of an open mesh', () => {
    const open = {
      positions: points.slice(0, points.length / 2),
      triangles: Uint32Array.from(sheet(0)),
    };
    const thin = thinMesh(open, 300);
    expect(facets(thin)).toBeLessThanOrEqual(300);
    const edges = (mesh: Mesh): number => edgeNeighbours(mesh).filter((e) => e === OPEN).length;
    expect(edges(open)).toBe(4 * N);
    expect(edges(thin)).toBeGreaterThanOrEqual(4);
    expect(supportError(open.positions, thin.positions)).toBeLessThan(1e-6);
  });
});
