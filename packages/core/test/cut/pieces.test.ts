import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { describe, expect, it } from 'vitest';
import {
  cutPieces,
  planesMesh,
  planJoints,
  surfaceOf,
  type CutResult,
} from '../../src/cut/index.ts';
import { boxEnvelope, type Envelope } from '../../src/envelope/index.ts';
import { JOIN_DEFAULTS, type Joint } from '../../src/join/index.ts';
import { quatToMatrix, rotate, seededRandom, unit, type Vec3 } from '../../src/math/index.ts';
import {
  ballMesh,
  boundsOf,
  boxMesh,
  cylinderMesh,
  flipTriangles,
  joinMeshes,
  massProperties,
  planeSection,
  regionFigures,
  scaleMesh,
  sizeOf,
  torusMesh,
  transformMesh,
  type Mesh,
  type Plane,
} from '../../src/mesh/index.ts';
import { loadKernel, type Solid, type Solids } from '../../src/solid/index.ts';
import { proposeSplit, type SplitPlan } from '../../src/split/index.ts';
import { misread, pieceFiles, type ReadBack } from '../../src/write/index.ts';
import { readParts } from '../../src/read/index.ts';
import { stlModel } from '../mesh/stl-model.ts';

const kernel = await loadKernel();
type Written = Extract<CutResult, { written: true }>;

function planFor(mesh: Mesh, planes: readonly Plane[], envelopes: readonly Envelope[]): SplitPlan {
  const plan = proposeSplit(mesh, envelopes, { part: 'body', ...(planes.length && { planes }) })
    .plans[0];
  if (!plan) throw new Error('no plan');
  return plan;
}

async function cut(
  mesh: Mesh,
  plan: SplitPlan,
  envelopes: readonly Envelope[],
  joints?: readonly Joint[],
): Promise<{ joints: readonly Joint[]; result: Written }> {
  const all = joints ?? (await planJoints(mesh, plan, JOIN_DEFAULTS));
  const result = await cutPieces(mesh, plan, all, { envelopes });
  if (!result.written) throw new Error(result.because);
  return { joints: all, result };
}

/** Relative symmetric difference of the part and the pieces put back together, by the kernel. */
function symmetricDifference(part: Mesh, pieces: readonly Mesh[], fill: number): number {
  return kernel.scope((s) => {
    const whole = s.meshToSolid(part);
    const again = s.union(pieces.map((p) => s.meshToSolid(p)));
    const missing = s.volume(s.subtract(whole, [again]));
    const extra = s.volume(s.subtract(again, [whole]));
    return (Math.abs(missing - fill) + Math.abs(extra)) / s.volume(whole);
  });
}

/** Second route: files read again, kernel volumes, put together, holes by sections, fit by vertices. */
function verify(mesh: Mesh, joints: readonly Joint[], result: Written): void {
  expect(result.remarks).toEqual([]);
  expect(result.sound).toBe(true);
  expect(result.volumes.relativeError).toBeLessThan(1e-9);
  const { holesMm3, marksMm3 } = result.volumes;
  const files = pieceFiles(result.pieces, 'body');
  const back = files.stl.map((f) => readParts(f.data, { seams: 'off' })[0]?.mesh as Mesh);
  for (const [i, piece] of back.entries()) {
    expect(surfaceOf(piece)).toEqual({ closed: true, oriented: true });
    expect(files.stl[i]?.readBack.relativeVolumeError).toBeLessThan(1e-5);
    // The kernel refuses what is not closed and oriented.
    kernel.scope((s) => expect(s.volume(s.meshToSolid(piece))).toBeGreaterThan(0));
  }
  const whole = massProperties(mesh).volumeMm3;
  const sum = back.reduce((v, m) => v + massProperties(m).volumeMm3, 0);
  expect(Math.abs(sum + holesMm3 + marksMm3 - whole) / whole).toBeLessThan(1e-6);
  const meshes = result.pieces.map((p) => p.mesh);
  expect(symmetricDifference(mesh, meshes, holesMm3 + marksMm3)).toBeLessThan(1e-6);
  for (const joint of joints) checkMates(joint, result);
}

/** The two halves of each hole, found as loops in sections of the finished pieces. */
function checkMates(joint: Joint, result: Written): void {
  for (const dowel of joint.regions.flatMap((r) => r.dowels)) {
    const middle = (id: string, sign: number, depth: number): Vec3 | null => {
      const mesh = result.pieces.find((p) => p.id === id)?.mesh as Mesh;
      const plane: Plane = {
        normal: joint.plane.normal,
        offsetMm: joint.plane.offsetMm + sign * depth,
      };
      const section = planeSection(mesh, plane);
      for (const loop of section.loops) {
        const f = regionFigures([loop]);
        const { origin, u, v } = section.frame;
        const p = [0, 1, 2].map(
          (k) => origin[k]! + f.centroidMm[0] * u[k]! + f.centroidMm[1] * v[k]!,
        ) as unknown as Vec3;
        const d = p.map((x, k) => x - dowel.centreMm[k]!);
        const t = d[0]! * dowel.axis[0] + d[1]! * dowel.axis[1] + d[2]! * dowel.axis[2];
        const off = Math.hypot(...d.map((x, k) => x - t * dowel.axis[k]!));
        if (f.areaMm2 < 0 && off < 1) {
          // Round hole of the drill's size: area within the 48 sides' 0.15 % of the circle's.
          const circle = (Math.PI / 4) * dowel.holeDiameterMm ** 2;
          expect(Math.abs(-f.areaMm2 / circle - 1)).toBeLessThan(0.002);
          return p;
        }
      }
      return null;
    };
    const below = middle(joint.below, -1, dowel.depthBelowMm / 2);
    const above = middle(joint.above, 1, dowel.depthAboveMm / 2);
    expect(below).not.toBeNull();
    expect(above).not.toBeNull();
    const d = below!.map((x, k) => above![k]! - x);
    const t = d[0]! * dowel.axis[0] + d[1]! * dowel.axis[1] + d[2]! * dowel.axis[2];
    expect(Math.hypot(...d.map((x, k) => x - t * dowel.axis[k]!))).toBeLessThan(1e-3);
    for (const [id, sign, depth] of [
      [joint.below, -1, dowel.depthBelowMm],
      [joint.above, 1, dowel.depthAboveMm],
    ] as const) {
      expect(middle(id, sign, depth - 1e-3)).not.toBeNull();
      expect(middle(id, sign, depth + 1e-3)).toBeNull();
    }
  }
}

const tube = (R: number, r: number, h: number): Mesh => {
  const inner = transformMesh(cylinderMesh(r, h + 2), [1, 0, 0, 0, 1, 0, 0, 0, 1], [0, 0, -1]);
  return kernel.scope((s) =>
    s.solidToMesh(s.subtract(s.meshToSolid(cylinderMesh(R, h)), [s.meshToSolid(inner)])),
  );
};

describe('cutPieces', () => {
  const cases: [string, Mesh, Plane[], Envelope][] = [
    ['the bar of 1 m', boxMesh([1000, 100, 100]), [], boxEnvelope(300, 300, 300)],
    [
      'a torus',
      torusMesh(150, 40, 40, 20),
      [
        { normal: [1, 0, 0], offsetMm: 0.5 },
        { normal: [0, 1, 0], offsetMm: 0.25 },
      ],
      boxEnvelope(250, 250, 250),
    ],
    [
      'a ball cut aslant',
      ballMesh(80, 3),
      [{ normal: unit([1, 2, 3]) as Vec3, offsetMm: 10.3 }],
      boxEnvelope(300, 300, 300),
    ],
    [
      'a thick tube',
      tube(60, 40, 300),
      [{ normal: [0, 0, 1], offsetMm: 151 }],
      boxEnvelope(220, 220, 250),
    ],
    [
      'a block in eight',
      boxMesh([200, 200, 200]),
      [
        { normal: [1, 0, 0], offsetMm: 100 },
        { normal: [0, 1, 0], offsetMm: 100 },
        { normal: [0, 0, 1], offsetMm: 100 },
      ],
      boxEnvelope(120, 120, 120),
    ],
  ];
  for (const [name, mesh, planes, envelope] of cases)
    it(`cuts ${name} into sound pieces that a second route finds again`, async () => {
      const plan = planFor(mesh, planes, [envelope]);
      const { joints, result } = await cut(mesh, plan, [envelope]);
      expect(result.pieces.length).toBeGreaterThanOrEqual(2);
      expect(joints.length).toBeGreaterThanOrEqual(1);
      expect(joints.every((j) => j.mark !== null)).toBe(true);
      verify(mesh, joints, result);
      for (const piece of result.pieces) {
        expect(piece.check.fits).toBe(true);
        // Independent of the check's own arithmetic: the box of the turned vertices.
        const placement = plan.pieces.find((p) => p.id === piece.id)?.fit.placement;
        const turn = quatToMatrix(placement!.rotation);
        const n = piece.mesh.positions.length / 3;
        for (let i = 0; i < n; i++) {
          const p = rotate(turn, [...piece.mesh.positions.subarray(3 * i, 3 * i + 3)] as never);
          const [x, y, z] = p.map((v, k) => v + placement!.translationMm[k]!);
          const { plate, heightMm } = envelope;
          if (plate.shape !== 'box') throw new Error('box expected');
          expect(Math.abs(x!)).toBeLessThanOrEqual(plate.widthMm / 2 + 1e-6);
          expect(Math.abs(y!)).toBeLessThanOrEqual(plate.depthMm / 2 + 1e-6);
          expect(z!).toBeGreaterThanOrEqual(-1e-6);
          expect(z!).toBeLessThanOrEqual(heightMm + 1e-6);
        }
      }
    });

  it('keeps bare cuts of random solids exact: unions and differences of primitives (seed 21)', async () => {
    const random = seededRandom(21);
    const between = (a: number, b: number): number => a + (b - a) * random();
    let dowels = 0;
    for (let k = 0; k < 4; k++) {
      const mesh = kernel.scope((s) => s.solidToMesh(randomSolid(s, between)));
      const planes = [0, 1].map(() => ({
        normal: unit([between(-1, 1), between(-1, 1), between(-1, 1)]) as Vec3,
        offsetMm: between(-12, 12),
      }));
      const big = boxEnvelope(900, 900, 900);
      const plan = planFor(mesh, planes, [big]);
      const { joints, result } = await cut(mesh, plan, [big]);
      verify(mesh, joints, result);
      dowels += joints.flatMap((j) => j.regions.flatMap((r) => r.dowels)).length;
    }
    expect(dowels).toBeGreaterThan(10);
  });

  it('cuts meshes of the npm package stl-models, made by others, and keeps them whole', async () => {
    for (const [path, size, offset] of [
      ['objects/gearwheel.bin.stl', 400, 0.52],
      ['polytopes/tetrahedronIrregular.bin.stl', 300, 0.4],
    ] as const) {
      const raw = stlModel(path);
      const longest = Math.max(...sizeOf(boundsOf(raw.positions)));
      const mesh = scaleMesh(raw, size / longest);
      const box = boundsOf(mesh.positions);
      const x = box.min[0] + offset * (box.max[0] - box.min[0]);
      const envelope = boxEnvelope(500, 500, 500);
      const plan = planFor(mesh, [{ normal: [1, 0, 0], offsetMm: x }], [envelope]);
      const { joints, result } = await cut(mesh, plan, [envelope]);
      expect(joints.flatMap((j) => j.regions.flatMap((r) => r.dowels)).length).toBeGreaterThan(0);
      verify(mesh, joints, result);
    }
  });

  it('gives the kernel back its memory: forty cuts need no more than ten', async () => {
    const mesh = torusMesh(150, 40, 100, 50);
    const envelope = boxEnvelope(400, 400, 400);
    const plan = planFor(mesh, [{ normal: [1, 0, 0], offsetMm: 0.5 }], [envelope]);
    const joints = await planJoints(mesh, plan, JOIN_DEFAULTS);
    setFlagsFromString('--expose-gc');
    const collect = runInNewContext('gc') as () => void;
    const held = (): number => {
      collect();
      return process.memoryUsage().rss;
    };
    for (let i = 0; i < 10; i++) await cutPieces(mesh, plan, joints);
    const tenth = held();
    for (let i = 0; i < 30; i++) await cutPieces(mesh, plan, joints);
    expect(held() - tenth).toBeLessThan(40e6);
  }, 60_000);

  it('leaves marks out on request, and sinks them only where there is room', async () => {
    const mesh = boxMesh([200, 60, 60]);
    const envelope = boxEnvelope(150, 150, 150);
    const plan = planFor(mesh, [{ normal: [1, 0, 0], offsetMm: 100 }], [envelope]);
    const joints = await planJoints(mesh, plan, JOIN_DEFAULTS);
    const bare = await cutPieces(mesh, plan, joints, { marks: false });
    expect(bare.written && bare.volumes.marksMm3).toBe(0);
    expect(bare.written && bare.volumes.relativeError).toBeLessThan(1e-12);
    const thin = boxMesh([200, 7, 7]);
    const thinPlan = planFor(thin, [{ normal: [1, 0, 0], offsetMm: 100 }], [envelope]);
    const thinJoints = await planJoints(thin, thinPlan, JOIN_DEFAULTS);
    expect(thinJoints[0]?.mark).toBeNull();
    const made = await cutPieces(thin, thinPlan, thinJoints);
    expect(made.written && made.volumes.marksMm3).toBe(0);
  });

  it('unites overlapping shells and turns an inside-out part, and says so', async () => {
    const envelope = boxEnvelope(150, 150, 150);
    const two = joinMeshes([boxMesh([200, 60, 60]), boxMesh([80, 60, 60], [20, 20, 0])]);
    const plan = planFor(two, [{ normal: [1, 0, 0], offsetMm: 110 }], [envelope]);
    const united = await cutPieces(two, plan, []);
    if (!united.written) throw new Error(united.because);
    expect(united.repairs.join()).toMatch(/united/);
    // 200 x 60 x 60 and 80 x 20 x 60 beside it.
    expect(united.volumes.piecesMm3).toBeCloseTo(200 * 60 * 60 + 80 * 20 * 60, 3);
    const box = boxMesh([200, 60, 60]);
    const out = { ...box, triangles: flipTriangles(box.triangles) };
    const turned = await cutPieces(out, plan, []);
    if (!turned.written) throw new Error(turned.because);
    expect(turned.repairs.join()).toMatch(/turned/);
    expect(turned.volumes.piecesMm3).toBeCloseTo(720000, 3);
  });

  it('does not write pieces of a surface that bounds nothing, and still gives dowels', async () => {
    const ball = ballMesh(80, 3);
    const b = ball.positions;
    // A third of the ball taken away: a hole that is neither flat nor small.
    const open: Mesh = {
      positions: b,
      triangles: Uint32Array.from(
        Array.from({ length: ball.triangles.length / 3 }, (_, f) => [
          ...ball.triangles.subarray(3 * f, 3 * f + 3),
        ])
          .filter((t) => t.some((v) => b[3 * v]! + 0.3 * Math.sin(b[3 * v + 1]!) * 40 < 30))
          .flat(),
      ),
    };
    const envelope = boxEnvelope(150, 150, 150);
    const plan = planFor(open, [{ normal: [0, 0, 1], offsetMm: 3 }], [envelope]);
    const joints = await planJoints(open, plan, JOIN_DEFAULTS, { closed: false });
    expect(joints[0]?.regions[0]?.dowels.length).toBeGreaterThanOrEqual(1);
    expect(joints[0]?.closed).toBe(false);
    const result = await cutPieces(open, plan, joints);
    expect(result.written).toBe(false);
    expect(!result.written && result.because).toMatch(/open/);
    expect((await planesMesh(joints)).triangles.length).toBeGreaterThan(0);
  });

  it('stops on request', async () => {
    const mesh = boxMesh([200, 60, 60]);
    const plan = planFor(mesh, [{ normal: [1, 0, 0], offsetMm: 100 }], [boxEnvelope(1, 1, 1)]);
    const signal = AbortSignal.abort();
    await expect(cutPieces(mesh, plan, [], { signal })).rejects.toThrow(/Stopped/);
    await expect(planJoints(mesh, plan, JOIN_DEFAULTS, { signal })).rejects.toThrow(/Stopped/);
  });
});

describe('pieceFiles', () => {
  it('names the objects and keeps full precision in 3MF; a piece with a plate of its own counts from its corner', async () => {
    const mesh = boxMesh([400, 80, 80], [30, -20, 10]);
    const envelope = boxEnvelope(250, 250, 250);
    const plan = planFor(mesh, [{ normal: [1, 0, 0], offsetMm: 230 }], [envelope]);
    const { result } = await cut(mesh, plan, [envelope]);
    const together = pieceFiles(result.pieces, 'Lamplighter arm, Ü');
    expect(together.threeMf.map((f) => f.name)).toEqual(['Lamplighter arm, Ü.pieces.3mf']);
    const objects = readParts(together.threeMf[0]?.data as Uint8Array);
    expect(objects.map((o) => o.name).join()).toMatch(/Ü 1.*Ü 2/);
    const volume = objects.reduce((v, o) => v + massProperties(o.mesh).volumeMm3, 0);
    expect(volume / result.volumes.piecesMm3).toBeCloseTo(1, 12);

    const alone = pieceFiles(result.pieces.map((p) => ({ ...p, toCornerMm: [125, 125, 0] })), 'arm'); // prettier-ignore
    expect(alone.threeMf.map((f) => f.name)).toEqual(['arm.piece-1.3mf', 'arm.piece-2.3mf']);
    for (const [i, f] of alone.threeMf.entries()) {
      const [x, , z] = boundsOf(readParts(f.data)[0]?.mesh.positions as Float64Array).min;
      const own = boundsOf(result.pieces[i]?.mesh.positions as Float64Array).min;
      expect([x - own[0], z - own[2]]).toEqual([125, 0]);
    }
  });

  it('tells of a surface that float32 tears and of a volume that is off', () => {
    // Two facets of a thin wedge 1e6 mm from the origin meet in one place once they are rounded.
    const ball = boxMesh([1, 1, 1e-3], [1e6, 1e6, 1e6]);
    const [file] = pieceFiles([{ id: '1', mesh: ball, volumeMm3: 1e-3 }], 'far').stl;
    expect(misread('1', file?.readBack as ReadBack)).toMatch(/^Piece 1: .*(not closed|off by)/);
    const [off] = pieceFiles([{ id: '1', mesh: boxMesh([1, 1, 1]), volumeMm3: 1.1 }], 'off').stl;
    expect(misread('1', off?.readBack as ReadBack)).toMatch(/off by 9\.1e-2/);
    const [good] = pieceFiles([{ id: '1', mesh: boxMesh([1, 1, 1]), volumeMm3: 1 }], 'good').stl;
    expect(misread('1', good?.readBack as ReadBack)).toBeNull();
  });
});

describe('planesMesh', () => {
  it('shows each cut as a thin plate that follows the part', async () => {
    const mesh = boxMesh([200, 60, 40]);
    const plan = planFor(mesh, [{ normal: [1, 0, 0], offsetMm: 90 }], [boxEnvelope(150, 150, 150)]);
    const joints = await planJoints(mesh, plan, JOIN_DEFAULTS);
    const plates = await planesMesh(joints);
    const box = boundsOf(plates.positions);
    // 0.4 mm thick about x = 90, 3 mm beyond the section all round.
    expect(box.min[0]).toBeCloseTo(89.8, 9);
    expect(box.max[0]).toBeCloseTo(90.2, 9);
    expect(box.min[1]).toBeCloseTo(-3, 6);
    expect(box.max[2]).toBeCloseTo(43, 6);
    expect(surfaceOf(plates)).toEqual({ closed: true, oriented: true });
  });
});

function randomSolid(s: Solids, between: (a: number, b: number) => number): Solid {
  const primitive = (): Solid => {
    const at: Vec3 = [between(-25, 25), between(-25, 25), between(-25, 25)];
    const kind = between(0, 3);
    if (kind < 1) {
      const size: Vec3 = [between(40, 90), between(40, 90), between(40, 90)];
      return s.box(size, at.map((x, i) => x - size[i]! / 2) as unknown as Vec3);
    }
    if (kind < 2) {
      const axis = unit([between(-1, 1), between(-1, 1), between(-1, 1)]) as Vec3;
      return s.cylinder(at.map((x, i) => x - 40 * axis[i]!) as unknown as Vec3, axis, between(20, 40), 80, 40); // prettier-ignore
    }
    const ball = ballMesh(between(30, 45), 2);
    return s.meshToSolid(transformMesh(ball, [1, 0, 0, 0, 1, 0, 0, 0, 1], at));
  };
  const body = s.union([primitive(), primitive(), primitive()]);
  const axis = unit([between(-1, 1), between(-1, 1), between(-1, 1)]) as Vec3;
  const bore = s.cylinder(
    axis.map((x) => -200 * x) as unknown as Vec3,
    axis,
    between(4, 9),
    400,
    32,
  );
  return s.subtract(body, [bore]);
}
