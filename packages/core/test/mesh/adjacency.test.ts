import { describe, expect, test } from 'vitest';
import {
  ballMesh,
  boxMesh,
  COLLAPSED,
  cylinderMesh,
  edgeNeighbours,
  joinMeshes,
  meshFrom,
  NON_MANIFOLD,
  OPEN,
  runsAgainst,
  shellFacets,
  shells,
  torusMesh,
  type Mesh,
} from '../../src/mesh/index.ts';
import { seededRandom } from '../../src/math/index.ts';

/** Slow twin: a map from each edge to its facets. */
function neighboursByMap({ triangles: t }: Mesh): number[] {
  const edges = new Map<string, number[]>();
  const collapsed = (f: number): boolean =>
    new Set([t[3 * f], t[3 * f + 1], t[3 * f + 2]]).size < 3;
  const key = (e: number): string => {
    const f = Math.floor(e / 3);
    const a = t[e] as number;
    const b = t[3 * f + ((e + 1) % 3)] as number;
    return a < b ? `${a} ${b}` : `${b} ${a}`;
  };
  for (let e = 0; e < t.length; e++)
    if (!collapsed(Math.floor(e / 3))) edges.set(key(e), [...(edges.get(key(e)) ?? []), e]);
  return Array.from(t, (_, e) => {
    if (collapsed(Math.floor(e / 3))) return COLLAPSED;
    const uses = edges.get(key(e)) as number[];
    if (uses.length === 1) return OPEN;
    if (uses.length > 2) return NON_MANIFOLD;
    return Math.floor((uses[0] === e ? (uses[1] as number) : (uses[0] as number)) / 3);
  });
}

describe('edgeNeighbours', () => {
  const closed: [string, Mesh][] = [
    ['box', boxMesh([1, 2, 3])],
    ['torus', torusMesh(5, 2, 20, 10)],
    ['fan of 200 at one vertex', cylinderMesh(10, 5, 200)],
    ['ball', ballMesh(3, 3)],
  ];
  test.each(closed)(
    'every edge of a closed %s has its neighbour, and both name each other',
    (_, mesh) => {
      const n = edgeNeighbours(mesh);
      expect(n.every((x) => x >= 0)).toBe(true);
      expect(Array.from(n)).toEqual(neighboursByMap(mesh));
      for (let e = 0; e < n.length; e++) {
        const f = Math.floor(e / 3);
        const g = n[e] as number;
        expect([n[3 * g], n[3 * g + 1], n[3 * g + 2]]).toContain(f);
        const a = mesh.triangles[e] as number;
        const b = mesh.triangles[3 * f + ((e + 1) % 3)] as number;
        expect(runsAgainst(mesh.triangles, g, a, b)).toBe(true);
      }
    },
  );

  test('random facet soups, few vertices and many, agree with a map of edges (seeds 1 to 60)', () => {
    let nonManifold = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const random = seededRandom(seed);
      const vertices = 4 + Math.floor(random() * 80);
      const facets = Math.floor(random() * 300);
      const mesh: Mesh = {
        positions: new Float64Array(3 * vertices),
        // The square crowds low numbers: vertices with very many edges, and collapsed facets.
        triangles: Uint32Array.from({ length: 3 * facets }, () =>
          Math.floor(random() ** 2 * vertices),
        ),
      };
      const got = Array.from(edgeNeighbours(mesh));
      nonManifold += got.filter((x) => x === NON_MANIFOLD).length;
      expect(got).toEqual(neighboursByMap(mesh));
    }
    expect(nonManifold).toBeGreaterThan(1000);
  });

  test('a missing facet leaves three open edges, a doubled one three non-manifold edges', () => {
    const box = boxMesh([1, 1, 1]);
    const open = edgeNeighbours({ ...box, triangles: box.triangles.slice(3) });
    expect(open.filter((x) => x === OPEN)).toHaveLength(3);
    const doubled = Uint32Array.from([...box.triangles, ...box.triangles.slice(0, 3)]);
    const n = edgeNeighbours({ ...box, triangles: doubled });
    expect(n.filter((x) => x === NON_MANIFOLD)).toHaveLength(9);
  });

  test('a collapsed facet between two neighbours does not part them', () => {
    const box = boxMesh([1, 1, 1]);
    const mesh = { ...box, triangles: Uint32Array.from([0, 0, 2, ...box.triangles]) };
    const n = edgeNeighbours(mesh);
    expect(Array.from(n.slice(0, 3))).toEqual([COLLAPSED, COLLAPSED, COLLAPSED]);
    expect(n.slice(3).every((x) => x > 0)).toBe(true);
    expect(shells(mesh).count).toBe(1);
  });
});

describe('shells', () => {
  test('bodies side by side are counted and labelled in file order', () => {
    const mesh = joinMeshes([boxMesh([1, 1, 1]), ballMesh(2, 1), boxMesh([1, 1, 1], [9, 9, 9])]);
    const s = shells(mesh);
    expect(s.count).toBe(3);
    expect(shellFacets(s).map((list) => list.length)).toEqual([12, 80, 12]);
    expect(s.labels[0]).toBe(0);
    expect(s.labels[12]).toBe(1);
    expect(s.labels[92]).toBe(2);
  });

  test('two boxes that share only a vertex, or only an edge, stay two shells', () => {
    const box = boxMesh([1, 1, 1]);
    const points = [0, 1, 2, 3, 4, 5, 6, 7].map((i) => [
      box.positions[3 * i], box.positions[3 * i + 1], box.positions[3 * i + 2],
    ]) as [number, number, number][]; // prettier-ignore
    const weldAt = (shared: Map<number, number>): Mesh => {
      const index = (i: number): number => shared.get(i) ?? i + 8;
      const facets = Array.from({ length: 12 }, (_, f) =>
        [0, 1, 2].map((k) => box.triangles[3 * f + k] as number),
      );
      const all = [...facets, ...facets.map((f) => f.map(index))] as [number, number, number][];
      return meshFrom(
        [...points, ...points.map(([x, y, z]): [number, number, number] => [x + 1, y + 1, z])],
        all,
      );
    };
    expect(shells(weldAt(new Map([[0, 7]]))).count).toBe(2);
    const edge = weldAt(new Map([[0, 3], [4, 7]])); // prettier-ignore
    expect(edgeNeighbours(edge).filter((x) => x === NON_MANIFOLD)).toHaveLength(4);
    expect(shells(edge).count).toBe(2);
  });
});
