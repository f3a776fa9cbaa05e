import { describe, expect, it } from 'vitest';
import { orient3d } from 'robust-predicates';
import { ConvexHull } from 'three/addons/math/ConvexHull.js';
import { Vector3 } from 'three';
import { convexHull } from '../../src/hull/index.ts';
import { ballMesh, boxMesh, cylinderMesh, torusMesh } from '../../src/mesh/index.ts';
import { seededRandom } from '../../src/math/index.ts';
import type { Hull } from '../../src/hull/index.ts';

/** Exact check by brute force: every point on or behind every facet, and the surface closed. */
function expectHullOf(points: Float64Array, hull: Hull): void {
  const { positions: p, triangles: t } = hull;
  const at = (i: number): [number, number, number] => [
    p[3 * i] as number,
    p[3 * i + 1] as number,
    p[3 * i + 2] as number,
  ];
  let outside = 0;
  const edges = new Set<string>();
  for (let f = 0; f < t.length; f += 3) {
    const [a, b, c] = [t[f] as number, t[f + 1] as number, t[f + 2] as number];
    for (let i = 0; i < points.length; i += 3)
      if (orient3d(...at(a), ...at(b), ...at(c), points[i]!, points[i + 1]!, points[i + 2]!) < 0)
        outside++;
    for (const [u, v] of [[a, b], [b, c], [c, a]] as const) edges.add(`${u},${v}`); // prettier-ignore
  }
  expect(outside).toBe(0);
  for (const e of edges) expect(edges.has(e.split(',').reverse().join(','))).toBe(true);
  const vertices = new Set(t).size;
  expect(vertices).toBe(p.length / 3);
  // Euler: a closed surface of genus 0.
  expect(vertices - edges.size / 2 + t.length / 3).toBe(2);
}

describe('convexHull', () => {
  it('takes the eight corners of a box and leaves what is inside or on a face', () => {
    const box = boxMesh([20, 30, 40]).positions;
    const inside = Float64Array.from([...box, 10, 15, 20, 10, 15, 0, 20, 30, 7, 3, 3, 3]);
    const hull = convexHull(inside);
    expect([...hull.source].sort()).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
    expect(hull.triangles.length).toBe(36);
    expectHullOf(inside, hull);
  });

  it('is exact on bodies full of coplanar and cocircular points', () => {
    for (const mesh of [cylinderMesh(10, 50, 97), torusMesh(20, 5, 40, 20), ballMesh(7, 3)])
      expectHullOf(mesh.positions, convexHull(mesh.positions));
  });

  it('is exact on a grid, where almost every set of four points is degenerate', () => {
    const grid: number[] = [];
    for (let x = 0; x < 7; x++)
      for (let y = 0; y < 7; y++) for (let z = 0; z < 7; z++) grid.push(x * 0.1, y * 0.3, z * 0.7);
    const points = Float64Array.from(grid);
    const hull = convexHull(points);
    expectHullOf(points, hull);
    // Decimal steps are not equal in binary, so some edge points stand out by an ulp: real corners.
    for (const corner of [0, 6, 42, 48, 294, 300, 336, 342]) expect(hull.source).toContain(corner);
  });

  it('is exact on large sets, where a sample comes first, in shapes that are hard for its map', () => {
    const random = seededRandom(7);
    const count = 9000;
    const shaped = (
      shape: (u: number, v: number, w: number) => readonly number[],
    ): Float64Array => {
      const points = new Float64Array(3 * count);
      for (let k = 0; k < count; k++) points.set(shape(random(), random(), random()), 3 * k);
      return points;
    };
    const cases = {
      needle: shaped((u, v, w) => [1000 * u, 0.01 * v, 0.01 * w]),
      sheet: shaped((u, v, w) => [300 * u, 200 * v, 1e-7 * w]),
      'far away': shaped((u, v, w) => [1e8 + u, -1e8 + v, 1e8 + w]),
      'steps of a grid': shaped((u, v, w) => [u, v, w].map((x) => Math.round(12 * x) / 10)),
      'box with two spikes': shaped((u, v, w) =>
        u < 0.001 ? [50 * u, 900, 3] : u > 0.999 ? [4, 4, -900 * v] : [9 * u, 8 * v, 7 * w],
      ),
      bowl: shaped((u, v) => {
        const [r, a] = [Math.sqrt(u) * 40, 2 * Math.PI * v];
        return [r * Math.cos(a), r * Math.sin(a), (r * r) / 200];
      }),
    };
    for (const [name, points] of Object.entries(cases)) {
      const hull = convexHull(points);
      expect(hull.rank, name).toBe(3);
      const step = Math.ceil((hull.triangles.length / 3) * (count / 4e6));
      // All of a small hull's facets against all points; of a large one every so many points.
      const seen = points.filter((_, i) => Math.floor(i / 3) % Math.max(1, step) === 0);
      expectHullOf(seen, hull);
    }
  });

  it('has the same volume as an independent hull (the one in three) on seeded clouds', () => {
    for (const seed of [1, 2, 3, 4, 5]) {
      const random = seededRandom(seed);
      const points = Float64Array.from({ length: 3 * 400 }, () => random() ** seed * 100);
      const ours = convexHull(points);
      expectHullOf(points, ours);
      const theirs = new ConvexHull().setFromPoints(
        Array.from({ length: 400 }, (_, i) => new Vector3(...points.subarray(3 * i, 3 * i + 3))),
      );
      let volume = 0;
      for (const face of theirs.faces) {
        const [a, b, c] = [0, 1, 2].map((k) => face.getEdge(k).head().point) as [
          Vector3,
          Vector3,
          Vector3,
        ];
        volume += a.dot(b.clone().cross(c)) / 6;
      }
      expect(volumeOf(ours)).toBeCloseTo(volume, 6);
    }
  });

  it('answers flat, straight, single and empty sets by their rank', () => {
    const square = Float64Array.from([0, 0, 5, 10, 0, 5, 10, 10, 5, 0, 10, 5, 5, 5, 5, 5, 0, 5]);
    const flat = convexHull(square);
    expect(flat.rank).toBe(2);
    expect([...flat.source].sort()).toEqual([0, 1, 2, 3]);
    // On the plane x = y, seen edge-on from above.
    const upright = Float64Array.from([0, 0, 0, 1, 1, 0, 1, 1, 1, 0, 0, 1]);
    expect(convexHull(upright)).toMatchObject({ rank: 2 });
    expect(convexHull(upright).source.length).toBe(4);
    expect(convexHull(Float64Array.from([0, 0, 0, 1, 2, 3, 2, 4, 6])).rank).toBe(1);
    expect(convexHull(Float64Array.from([1, 2, 3, 1, 2, 3])).rank).toBe(0);
    expect(convexHull(new Float64Array(0)).rank).toBe(-1);
  });

  it('names the vertex that is not a number', () => {
    expect(() => convexHull(Float64Array.from([0, 0, 0, 1, NaN, 0]))).toThrow('Vertex 1');
  });
});

function volumeOf({ positions: p, triangles: t }: Hull): number {
  let v = 0;
  for (let f = 0; f < t.length; f += 3) {
    const [a, b, c] = [3 * t[f]!, 3 * t[f + 1]!, 3 * t[f + 2]!];
    v +=
      (p[a]! * (p[b + 1]! * p[c + 2]! - p[b + 2]! * p[c + 1]!) +
        p[a + 1]! * (p[b + 2]! * p[c]! - p[b]! * p[c + 2]!) +
        p[a + 2]! * (p[b]! * p[c + 1]! - p[b + 1]! * p[c]!)) /
      6;
  }
  return v;
}
