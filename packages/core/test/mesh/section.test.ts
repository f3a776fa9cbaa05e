import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { loadKernel, type Kernel } from '../../src/solid/index.ts';
import {
  ballMesh,
  boxMesh,
  cornerTetrahedron,
  cylinderMesh,
  flipTriangles,
  fromFrame,
  joinMeshes,
  loopArea,
  massProperties,
  planeSection,
  regionFigures,
  regionsOf,
  sectionFigures,
  sectionsAlong,
  sweepSections,
  toFrame,
  torusMesh,
  type Mesh,
  type Section,
} from '../../src/mesh/index.ts';
import { dot, unit, type Vec3 } from '../../src/math/index.ts';
import { stlModel } from './stl-model.ts';

const Z: Vec3 = [0, 0, 1];
const areaOf = ({ loops }: Section): number => loops.reduce((sum, l) => sum + loopArea(l), 0);
const at = (mesh: Mesh, offsetMm: number, normal: Vec3 = Z): Section =>
  planeSection(mesh, { normal, offsetMm });

let kernel: Kernel;
beforeAll(async () => {
  kernel = await loadKernel();
});

describe('planeSection against closed forms', () => {
  test('a unit cube across its diagonal gives a regular hexagon of area 3 sqrt(3) / 4', () => {
    const normal = unit([1, 1, 1]) as Vec3;
    const section = at(boxMesh([1, 1, 1]), Math.sqrt(3) / 2, normal);
    expect(section.loops).toHaveLength(1);
    const f = regionFigures(section.loops);
    expect(f.areaMm2).toBeCloseTo((3 * Math.sqrt(3)) / 4, 12);
    expect(f.perimeterMm).toBeCloseTo(3 * Math.SQRT2, 12);
    const centre = fromFrame(section.frame, ...f.centroidMm);
    centre.forEach((x) => expect(x).toBeCloseTo(0.5, 12));
  });

  test('a torus through its middle gives a ring: one region with one hole', () => {
    const n = 200;
    const regions = regionsOf(at(torusMesh(5, 2, n, 40), 0).loops);
    expect(regions).toHaveLength(1);
    expect(regions[0]?.holes).toHaveLength(1);
    const polygon = (r: number): number => (n * r * r * Math.sin((2 * Math.PI) / n)) / 2;
    const area = regionFigures([regions[0]!.outline, ...regions[0]!.holes]).areaMm2;
    expect(area).toBeCloseTo(polygon(7) - polygon(3), 9);
  });

  test('the areas of a tetrahedron, integrated, are its volume (Cavalieri, Simpson is exact)', () => {
    const mesh = cornerTetrahedron(3, 4, 5);
    const a = [0, 2.5, 5].map((z) => areaOf(at(mesh, z + (z === 0 ? 1e-13 : 0))));
    expect((5 / 6) * (a[0]! + 4 * a[1]! + a[2]!)).toBeCloseTo(10, 9);
  });

  test('points of the loops lie on the plane and the frame goes there and back', () => {
    const plane = { normal: unit([2, -3, 6]) as Vec3, offsetMm: 1.25 };
    const section = planeSection(ballMesh(4, 3), plane);
    const loop = section.loops[0]!;
    for (let i = 0; i < loop.length; i += 2) {
      const p = fromFrame(section.frame, loop[i]!, loop[i + 1]!);
      expect(dot(plane.normal, p)).toBeCloseTo(1.25, 12);
      expect(toFrame(section.frame, p)[0]).toBeCloseTo(loop[i]!, 12);
      expect(toFrame(section.frame, p)[1]).toBeCloseTo(loop[i + 1]!, 12);
    }
  });
});

describe('planes through vertices, edges and faces', () => {
  test('a face in the plane: the body under it shows the face, the body on it nothing', () => {
    const box = boxMesh([2, 3, 4]);
    expect(at(box, 0).loops).toEqual([]);
    expect(areaOf(at(box, 4))).toBeCloseTo(6, 12);
    expect(areaOf(at(box, 4 + 1e-9))).toBe(0);
  });

  test('two bodies that meet in the plane show the lower one once', () => {
    const pile = joinMeshes([boxMesh([4, 4, 1]), boxMesh([2, 2, 1], [1, 1, 1])]);
    const section = at(pile, 1);
    expect(section.chains).toEqual([]);
    expect(areaOf(section)).toBeCloseTo(16, 12);
  });

  test('an edge or a vertex in the plane leaves no loop and no chain', () => {
    const roof = cornerTetrahedron(1, 1, 1);
    expect(at(roof, 1)).toMatchObject({ loops: [], chains: [] });
    expect(at(roof, 0, [0, 1, 0])).toMatchObject({ loops: [], chains: [] });
  });

  test('an octahedron through four vertices gives its square, turned by rounding or not', () => {
    const octahedron = (q: (p: Vec3) => Vec3): Mesh => {
      const p = [[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]] as Vec3[]; // prettier-ignore
      return {
        positions: Float64Array.from(p.map(q).flat()),
        triangles: Uint32Array.from([0, 2, 4, 2, 1, 4, 1, 3, 4, 3, 0, 4, 2, 0, 5, 1, 2, 5, 3, 1, 5, 0, 3, 5]),
      }; // prettier-ignore
    };
    expect(
      areaOf(
        at(
          octahedron((p) => p),
          0,
        ),
      ),
    ).toBeCloseTo(2, 12);
    for (let k = 1; k < 40; k++) {
      const c = Math.cos(k / 7);
      const s = Math.sin(k / 7);
      const turn = ([x, y, z]: Vec3): Vec3 => [
        x + 1000,
        c * y - s * z + 777.7,
        s * y + c * z - 0.3,
      ];
      const normal = turn([0, 0, 1]).map((x, i) => x - [1000, 777.7, -0.3][i]!) as unknown as Vec3;
      const n = unit(normal) as Vec3;
      const section = at(octahedron(turn), dot(n, turn([0, 0, 0])), n);
      expect(section.loops).toHaveLength(1);
      expect(section.loops[0]).toHaveLength(8);
      expect(areaOf(section)).toBeCloseTo(2, 9);
    }
  });
});

describe('defects', () => {
  test('an open mesh gives a chain with both ends on its rim, and says nothing is closed there', () => {
    const box = boxMesh([2, 2, 2]);
    // Without the two facets of the face x = 0.
    const open = {
      ...box,
      triangles: Uint32Array.from([...box.triangles.slice(0, 24), ...box.triangles.slice(30)]),
    };
    const section = at(open, 1);
    expect(section.loops).toEqual([]);
    expect(section.chains).toHaveLength(1);
    const chain = section.chains[0]!;
    const ends = [chain.slice(0, 2), chain.slice(-2)].map(([x, y]) =>
      fromFrame(section.frame, x!, y!),
    );
    ends.forEach(([x, , z]) => {
      expect(x).toBeCloseTo(0, 12);
      expect(z).toBeCloseTo(1, 12);
    });
  });

  test('an inside-out body gives a clockwise loop and no region', () => {
    const box = boxMesh([2, 2, 2]);
    const section = at({ ...box, triangles: flipTriangles(box.triangles) }, 1);
    expect(areaOf(section)).toBeCloseTo(-4, 12);
    expect(regionsOf(section.loops)).toEqual([]);
  });

  test('four facets on one edge still close their loops', () => {
    // Two boxes sharing the vertical edge at (1, 1).
    const a = boxMesh([1, 1, 1]);
    const b = boxMesh([1, 1, 1], [1, 1, 0]);
    const both = joinMeshes([a, b]);
    const share = new Map([[8, 3], [12, 7]]); // prettier-ignore
    const mesh = { ...both, triangles: both.triangles.map((v) => share.get(v) ?? v) };
    const section = at(mesh, 0.5);
    expect(section.chains).toEqual([]);
    expect(areaOf(section)).toBeCloseTo(2, 12);
  });
});

describe('sections by the solid kernel, and in a sweep', () => {
  const bodies: [string, Mesh][] = [
    ['torus', torusMesh(20, 7, 40, 24)],
    ['gear wheel of stl-models', stlModel('objects/gearwheel.bin.stl')],
    ['two hollow bodies', joinMeshes([
      ballMesh(12, 2),
      { ...ballMesh(8, 2), triangles: flipTriangles(ballMesh(8, 2).triangles) },
      cylinderMesh(6, 30, 24),
    ].map((m, i) => (i < 2 ? m : { ...m, positions: m.positions.map((x, k) => (k % 3 === 0 ? x + 40 : x)) })))],
  ]; // prettier-ignore

  test.each(bodies)(
    '%s: area as half the new surface of a split by manifold-3d, on random planes',
    (_, mesh) => {
      const box = massProperties(mesh).centreMm;
      kernel.scope((s) => {
        const solid = s.meshToSolid(mesh);
        const whole = s.area(solid);
        const coordinate = fc.integer({ min: -1000, max: 1000 });
        fc.assert(
          fc.property(fc.tuple(coordinate, coordinate, coordinate), coordinate, (d, shift) => {
            const normal = unit(d);
            if (!normal) return;
            const offsetMm = dot(normal, box) + shift / 100;
            const { above, below } = s.splitByPlane(solid, { normal, offsetMm });
            const cut = (s.area(above) + s.area(below) - whole) / 2;
            const section = at(mesh, offsetMm, normal);
            expect(section.chains).toEqual([]);
            expect(Math.abs(areaOf(section) - cut)).toBeLessThan(1e-7 * whole);
          }),
          { seed: 3, numRuns: 25 },
        );
      });
    },
  );

  test.each(bodies)('%s: a sweep gives what single planes give, loop by loop', (_, mesh) => {
    const normal = unit([0.2, -0.4, 1]) as Vec3;
    const offsets = [3, -9, 0, 0, 7.5, 1e6, 4, -1e6, 2.25, 3];
    const swept = sectionsAlong(mesh, normal, offsets);
    const single = offsets.map((o) => at(mesh, o, normal));
    expect(swept.some((s) => s.loops.length > 0)).toBe(true);
    // The rounding band of a sweep covers its farthest offset, so here only nearly the same.
    swept.forEach((s, i) => {
      expect(s.loops.length).toBe(single[i]!.loops.length);
      expect(areaOf(s)).toBeCloseTo(areaOf(single[i]!), 9);
    });
    const figures = sectionFigures(mesh, normal, offsets);
    single.forEach((s, i) => {
      expect(figures.areaMm2[i]).toBeCloseTo(areaOf(s), 8);
      expect(figures.perimeterMm[i]).toBeCloseTo(regionFigures(s.loops).perimeterMm, 8);
    });
    expect(
      [...sweepSections(mesh, normal, offsets)].map((s) => dot(s.frame.origin, normal)),
    ).toEqual([...offsets].sort((a, b) => a - b).map((o) => expect.closeTo(o, 8) as number));
  });

  test('400 areas through a ball, summed, are its volume', () => {
    const mesh = ballMesh(10, 3);
    const n = 400;
    const offsets = Float64Array.from({ length: n }, (_, i) => -10 + (20 * (i + 0.5)) / n);
    const { areaMm2 } = sectionFigures(mesh, Z, offsets);
    const volume = areaMm2.reduce((sum, a) => sum + a, 0) * (20 / n);
    expect(Math.abs(volume / massProperties(mesh).volumeMm3 - 1)).toBeLessThan(1e-4);
  });

  test('no offsets give no sections', () => {
    expect(sectionsAlong(boxMesh([1, 1, 1]), Z, [])).toEqual([]);
    expect(sectionFigures(boxMesh([1, 1, 1]), Z, []).areaMm2).toHaveLength(0);
  });
});
