import { describe, expect, it } from 'vitest';
import { cutPieces, planJoints, surfaceOf } from '../../src/cut/index.ts';
import { cutDirectly } from '../../src/cut/direct.ts';
import { cutInKernel } from '../../src/cut/pieces.ts';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { JOIN_DEFAULTS, type Joint } from '../../src/join/index.ts';
import { unit, type Vec3 } from '../../src/math/index.ts';
import {
  ballMesh,
  boxMesh,
  flipTriangles,
  joinMeshes,
  massProperties,
  torusMesh,
  type Mesh,
  type Plane,
} from '../../src/mesh/index.ts';
import { loadKernel } from '../../src/solid/index.ts';
import { proposeSplit, type SplitPlan } from '../../src/split/index.ts';

const kernel = await loadKernel();
const big = boxEnvelope(900, 900, 900);

function planFor(mesh: Mesh, planes: readonly Plane[]): SplitPlan {
  const [plan] = proposeSplit(mesh, [big], { part: 'body', planes }).plans;
  if (!plan) throw new Error('no plan');
  return plan;
}

/**
 * Relative difference of two solids: of their volumes, and what one has that the other lacks. With
 * equal volumes one way round says it all, so the kernel may stumble over faces that nearly coincide
 * in the other.
 */
const difference = (a: Mesh, b: Mesh): number =>
  kernel.scope((s) => {
    const [p, q] = [s.meshToSolid(a), s.meshToSolid(b)];
    const lacks = (x: typeof p, y: typeof p): number => Math.abs(s.volume(s.subtract(x, [y])));
    const more = Math.abs(massProperties(a).volumeMm3 - massProperties(b).volumeMm3);
    return (more + Math.min(lacks(p, q), lacks(q, p))) / s.volume(q);
  });

const hollowBox = (): Mesh => {
  const inner = boxMesh([160, 60, 60], [20, 20, 20]);
  return joinMeshes([boxMesh([200, 100, 100]), { ...inner, triangles: flipTriangles(inner.triangles) }]); // prettier-ignore
};

/** A wide block with a narrower one on it: a cut at 40 mm lies in the step's upper faces. */
const stepped = (): Mesh =>
  kernel.scope((s) =>
    s.solidToMesh(s.union([s.box([160, 120, 40], [0, 0, 0]), s.box([80, 60, 80], [40, 30, 0])])),
  );

describe('cutDirectly', () => {
  const x = (offsetMm: number): Plane => ({ normal: [1, 0, 0], offsetMm });
  const y = (offsetMm: number): Plane => ({ normal: [0, 1, 0], offsetMm });
  const z = (offsetMm: number): Plane => ({ normal: [0, 0, 1], offsetMm });
  const slant = (n: Vec3, offsetMm: number): Plane => ({ normal: unit(n) as Vec3, offsetMm });
  const cases: [string, Mesh, Plane[]][] = [
    ['a bar', boxMesh([300, 80, 60]), [x(100), x(200)]],
    ['a block in eight', boxMesh([200, 200, 200]), [x(100), y(100), z(100)]],
    ['a block cut across its own cuts', boxMesh([200, 200, 200]), [slant([1, 2, 3], 180), slant([3, -1, 1], 90), slant([-1, 1, 2], 60)]],
    ['a ball cut through a row of its vertices', ballMesh(80, 4), [z(0)]],
    ['a torus, four regions', torusMesh(150, 40, 80, 40), [x(0), y(0)]],
    ['a torus along its seam of vertices', torusMesh(150, 40, 80, 40), [z(0)]],
    ['a hollow box', hollowBox(), [x(90)]],
    ['a step, cut in the level of its faces', stepped(), [z(40)]],
  ]; // prettier-ignore
  for (const [name, mesh, planes] of cases)
    it(`gives the same pieces of ${name} as the solid kernel`, async () => {
      const plan = planFor(mesh, planes);
      const joints = await planJoints(mesh, plan, JOIN_DEFAULTS);
      expect(joints.flatMap((j) => j.regions.flatMap((r) => r.dowels)).length).toBeGreaterThan(0);
      const direct = cutDirectly(mesh, plan, joints, true, kernel.flat);
      const solid = cutInKernel(kernel, mesh, plan, joints, true);
      expect([...(direct?.keys() ?? [])].sort()).toEqual([...solid.keys()].sort());
      for (const [id, piece] of direct ?? []) {
        expect(surfaceOf(piece)).toEqual({ closed: true, oriented: true });
        expect(difference(piece, solid.get(id) as Mesh)).toBeLessThan(1e-8);
      }
    });

  it('leaves to the kernel what is not sure: a section that crosses itself', async () => {
    // A prism over a loop that crosses itself once: its larger lobe counter-clockwise.
    const loop = [0, 0, 60, 0, 60, 60, 50, 60, 50, -20, 0, -20];
    const n = loop.length / 2;
    const corner = (i: number, at: number): Vec3 => [at, loop[2 * i]!, loop[2 * i + 1]!];
    const positions = Float64Array.from(
      [0, 200].flatMap((at) => Array.from({ length: n }, (_, i) => corner(i, at)).flat()),
    );
    const sides = Array.from({ length: n }, (_, i) => [i, (i + 1) % n]).flatMap(([i, j]) => [
      ...[i!, j!, n + j!],
      ...[i!, n + j!, n + i!],
    ]);
    const ends = Array.from({ length: n - 2 }, (_, k) => [
      0,
      k + 2,
      k + 1,
      n,
      n + k + 1,
      n + k + 2,
    ]);
    const mesh = { positions, triangles: Uint32Array.from([...sides, ...ends.flat()]) };
    const outwards = massProperties(mesh).volumeMm3 > 0 ? mesh : { ...mesh, triangles: flipTriangles(mesh.triangles) }; // prettier-ignore
    const plan = planFor(outwards, [x(100)]);
    expect(cutDirectly(outwards, plan, [], true, kernel.flat)).toBeNull();
    const cut = await cutPieces(outwards, plan, [], { prepared: true });
    expect(cut.written && cut.pieces.every((p) => p.check.closed)).toBe(true);
  });

  it('leaves to the kernel a hole that breaks out of the skin, and the check still finds it', async () => {
    const mesh = boxMesh([200, 60, 60]);
    const plan = planFor(mesh, [x(100)]);
    const joints = await planJoints(mesh, plan, JOIN_DEFAULTS);
    const moved: Joint[] = structuredClone(joints);
    for (const dowel of moved[0]!.regions[0]!.dowels)
      dowel.centreMm = [100, dowel.centreMm[1] < 30 ? 2 : 58, 30];
    expect(cutDirectly(mesh, plan, moved, true, kernel.flat)).toBeNull();
    const cut = await cutPieces(mesh, plan, moved);
    expect(cut.written && cut.sound).toBe(false);
  });

  it('keeps every vertex of the part that no cut touches', () => {
    const mesh = torusMesh(150, 40, 80, 40);
    const plan = planFor(mesh, [x(7)]);
    const pieces = cutDirectly(mesh, plan, [], true, kernel.flat);
    const places = new Set<string>();
    for (const { positions: p } of pieces?.values() ?? [])
      for (let i = 0; i < p.length; i += 3) places.add(p.slice(i, i + 3).join());
    const p = mesh.positions;
    for (let i = 0; i < p.length; i += 3) expect(places.has(p.slice(i, i + 3).join())).toBe(true);
    const sum = [...(pieces?.values() ?? [])].reduce((v, m) => v + massProperties(m).volumeMm3, 0);
    expect(Math.abs(sum / massProperties(mesh).volumeMm3 - 1)).toBeLessThan(1e-12);
  });
});
