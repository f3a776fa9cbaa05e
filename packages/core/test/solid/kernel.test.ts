import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { ScantlingError } from '../../src/errors.ts';
import { loadKernel, type Kernel, type Solid } from '../../src/solid/index.ts';
import {
  ballMesh,
  boxMesh,
  cornerTetrahedron,
  flipTriangles,
  joinMeshes,
  massProperties,
  planeFrame,
  torusMesh,
  transformMesh,
  type Mesh,
} from '../../src/mesh/index.ts';
import { dot, normalizeQuat, quatToMatrix, unit, type Vec3 } from '../../src/math/index.ts';

let kernel: Kernel;
beforeAll(async () => {
  kernel = await loadKernel();
});

const loop = (...xy: number[]): Float64Array => Float64Array.from(xy);
const square = (x: number, y: number, a: number): Float64Array =>
  loop(x, y, x + a, y, x + a, y + a, x, y + a);

const codeOf = (work: () => unknown): string => {
  try {
    work();
  } catch (error) {
    if (error instanceof ScantlingError) return error.code;
    throw error;
  }
  return 'no error';
};

describe('meshes through the kernel', () => {
  const turned = (mesh: Mesh): Mesh =>
    transformMesh(mesh, quatToMatrix(normalizeQuat([0.1, 0.7, -0.2, 0.5])), [123.456, -7.89, 0.1]);
  const bodies: [string, Mesh, number][] = [
    ['box', boxMesh([2, 3, 4]), 0],
    ['corner tetrahedron', cornerTetrahedron(3, 2, 1), 0],
    ['torus', torusMesh(5, 2, 40, 20), 1],
    ['turned torus', turned(torusMesh(5, 2, 40, 20)), 1],
    ['turned ball', turned(ballMesh(7, 3)), 0],
  ];

  test.each(bodies)(
    '%s: volume, area and handles agree with our own closed forms',
    (_, mesh, genus) => {
      const own = massProperties(mesh);
      kernel.scope((s) => {
        const solid = s.meshToSolid(mesh);
        expect(s.volume(solid) / own.volumeMm3).toBeCloseTo(1, 13);
        expect(s.area(solid) / own.areaMm2).toBeCloseTo(1, 13);
        expect(s.genus(solid)).toBe(genus);
      });
    },
  );

  test('a mesh comes back with the same vertices, to the last of 64 bits', () => {
    const mesh = turned(ballMesh(7, 3));
    const back = kernel.scope((s) => s.solidToMesh(s.meshToSolid(mesh)));
    const points = ({ positions: p }: Mesh): string[] =>
      Array.from({ length: p.length / 3 }, (_, i) => p.slice(3 * i, 3 * i + 3).join(' ')).sort();
    expect(points(back)).toEqual(points(mesh));
    expect(back.triangles).toHaveLength(mesh.triangles.length);
  });

  test('vertices that differ only beyond 32 bits are still told apart in number', () => {
    const mesh = joinMeshes([
      boxMesh([1, 1, 1], [0.1, 0, 0]),
      boxMesh([1, 1, 1], [0.1 + 1e-12, 5, 0]),
    ]);
    const back = kernel.scope((s) => s.solidToMesh(s.meshToSolid(mesh)));
    expect(massProperties(back).volumeMm3).toBeCloseTo(2, 7);
  });

  test('a mesh that bounds no solid is refused by name', () => {
    const box = boxMesh([1, 1, 1]);
    const flipped = box.triangles.slice();
    flipped.set(flipTriangles(box.triangles.slice(0, 3)));
    const lost = { ...box, positions: box.positions.slice() };
    lost.positions[4] = NaN;
    const given = (mesh: Mesh) => () => kernel.scope((s) => s.meshToSolid(mesh));
    expect(codeOf(given({ ...box, triangles: box.triangles.slice(3) }))).toBe('NOT_CLOSED');
    expect(codeOf(given({ ...box, triangles: flipped }))).toBe('NOT_CLOSED');
    expect(codeOf(given(lost))).toBe('NON_FINITE');
  });

  test('an inside-out body has negative volume, overlapping shells count twice', () => {
    const box = boxMesh([1, 1, 1]);
    kernel.scope((s) => {
      expect(
        s.volume(s.meshToSolid({ ...box, triangles: flipTriangles(box.triangles) })),
      ).toBeCloseTo(-1, 12);
      expect(
        s.volume(s.meshToSolid(joinMeshes([box, boxMesh([1, 1, 1], [0.5, 0, 0])]))),
      ).toBeCloseTo(2, 12);
    });
  });
});

describe('cutting', () => {
  test('both halves are closed, lie on their sides and add up to the whole', () => {
    const mesh = torusMesh(50.123, 20.07, 60, 30);
    const normal = unit([0.6, 0.5, 0.7]) as Vec3;
    const { above, below, whole } = kernel.scope((s) => {
      const solid = s.meshToSolid(mesh);
      const halves = s.splitByPlane(solid, { normal, offsetMm: 3.3 });
      return {
        whole: s.volume(solid),
        above: s.solidToMesh(halves.above),
        below: s.solidToMesh(halves.below),
      };
    });
    const height = ({ positions: p }: Mesh): number[] =>
      Array.from({ length: p.length / 3 }, (_, i) =>
        dot(normal, [p[3 * i] as number, p[3 * i + 1] as number, p[3 * i + 2] as number]),
      );
    expect(Math.min(...height(above))).toBeGreaterThan(3.3 - 1e-9);
    expect(Math.max(...height(below))).toBeLessThan(3.3 + 1e-9);
    const sum = massProperties(above).volumeMm3 + massProperties(below).volumeMm3;
    expect(Math.abs(sum / whole - 1)).toBeLessThan(1e-12);
  });

  test('a hole drilled through a block removes a prism of its sides', () => {
    // Area of a regular n-gon on radius r: n r2 sin(2 pi / n) / 2.
    const n = 48;
    const area = (n * 2 ** 2 * Math.sin((2 * Math.PI) / n)) / 2;
    kernel.scope((s) => {
      const block = s.box([10, 20, 30], [-5, -10, -15]);
      const axis = unit([0, 1, 0]) as Vec3;
      const hole = s.cylinder([0, -30, 0], axis, 2, 60, n);
      const drilled = s.subtract(block, [hole]);
      expect(s.volume(drilled)).toBeCloseTo(6000 - area * 20, 9);
      expect(s.genus(drilled)).toBe(1);
      expect(s.volume(s.intersect([block, hole]))).toBeCloseTo(area * 20, 9);
      expect(s.isEmpty(s.intersect([block, s.box([1, 1, 1], [50, 50, 50])]))).toBe(true);
    });
  });

  test('a hollow body falls into a shell and a void of negative volume', () => {
    const volumes = kernel.scope((s) =>
      s
        .decompose(s.subtract(s.box([10, 10, 10], [0, 0, 0]), [s.box([4, 4, 4], [3, 3, 3])]))
        .map((part) => s.volume(part)),
    );
    expect(volumes.map((v) => Math.round(v))).toEqual([1000, -64]);
  });

  test('an outline is raised along the normal of its frame', () => {
    const frame = planeFrame({ normal: unit([1, 2, 3]) as Vec3, offsetMm: 40 });
    const mesh = kernel.scope((s) => s.solidToMesh(s.extrude([square(0, 0, 2)], frame, 7)));
    const m = massProperties(mesh);
    expect(m.volumeMm3).toBeCloseTo(28, 9);
    expect(dot(frame.normal, m.centreMm)).toBeCloseTo(43.5, 9);
    expect(dot(frame.u, m.centreMm)).toBeCloseTo(1, 9);
    expect(dot(frame.v, m.centreMm)).toBeCloseTo(1, 9);
  });
});

describe('outlines in the plane', () => {
  test('overlaps are united by winding, a hole stays a hole', () => {
    expect(kernel.flat.area([square(0, 0, 2), square(1, 1, 2)])).toBeCloseTo(7, 9);
    const hole = loop(1, 1, 1, 2, 2, 2, 2, 1);
    expect(kernel.flat.area([square(0, 0, 4), hole])).toBeCloseTo(15, 9);
    expect(kernel.flat.unite([square(0, 0, 2), square(1, 1, 2)])).toHaveLength(1);
    expect(kernel.flat.unite([])).toEqual([]);
  });

  test('a square grown by d has area a2 + 4 a d + pi d2; shrunk, (a - 2d)2', () => {
    const grown = kernel.flat.area(kernel.flat.offset([square(0, 0, 10)], 2, 'round', 512));
    expect(Math.abs(grown / (100 + 80 + 4 * Math.PI) - 1)).toBeLessThan(1e-4);
    expect(kernel.flat.area(kernel.flat.offset([square(0, 0, 10)], 2, 'miter'))).toBeCloseTo(
      196,
      6,
    );
    expect(kernel.flat.area(kernel.flat.offset([square(0, 0, 10)], -2))).toBeCloseTo(36, 6);
    expect(kernel.flat.offset([square(0, 0, 10)], -6)).toEqual([]);
  });

  test('difference, section and simplification', () => {
    const { flat } = kernel;
    expect(flat.area(flat.subtract([square(0, 0, 4)], [square(1, 1, 1)]))).toBeCloseTo(15, 9);
    expect(flat.area(flat.intersect([square(0, 0, 4)], [square(3, 3, 4)]))).toBeCloseTo(1, 9);
    expect(flat.simplify([loop(0, 0, 5, 0.001, 10, 0, 10, 10, 0, 10)], 0.01)[0]).toHaveLength(8);
  });
});

describe('scopes', () => {
  let escaped: Solid;
  test('a solid is dead after its scope, and inner scopes may use outer solids', () => {
    kernel.scope((outer) => {
      const box = outer.box([1, 1, 1], [0, 0, 0]);
      escaped = kernel.scope((inner) => inner.union([box, inner.box([1, 1, 1], [2, 0, 0])]));
      expect(() => outer.volume(escaped)).toThrow('after its scope');
      expect(outer.volume(box)).toBeCloseTo(1, 12);
    });
  });

  test("the caller's own errors pass through unchanged, and the kernel goes on working", () => {
    expect(() =>
      kernel.scope((s) => {
        s.box([1, 1, 1], [0, 0, 0]);
        throw new RangeError('mine');
      }),
    ).toThrow(RangeError);
    expect(kernel.scope((s) => s.volume(s.box([2, 1, 1], [0, 0, 0])))).toBeCloseTo(2, 12);
  });

  test('solids are freed: 80 scopes do not pile up memory', () => {
    const ball = ballMesh(10.1, 4);
    const round = (): void =>
      kernel.scope((s) => {
        const { above } = s.splitByPlane(s.meshToSolid(ball), { normal: [0, 0, 1], offsetMm: 0.5 });
        s.solidToMesh(above);
      });
    for (let i = 0; i < 10; i++) round();
    const before = process.memoryUsage().rss;
    for (let i = 0; i < 80; i++) round();
    expect((process.memoryUsage().rss - before) / 1e6).toBeLessThan(60);
  });
  afterAll(() => expect(escaped).toBeDefined());
});

test('the kernel is loaded once', async () => {
  expect(await loadKernel()).toBe(kernel);
});
