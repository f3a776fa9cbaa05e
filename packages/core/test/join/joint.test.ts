import { describe, expect, it } from 'vitest';
import {
  drilledHoles,
  JOIN_DEFAULTS,
  jointSchema,
  openCutFace,
  proposeJoint,
  type Dowel,
  type Joint,
  type JointAsk,
  type JoinSettings,
} from '../../src/join/index.ts';
import { frameOf, type Vec3 } from '../../src/math/index.ts';
import {
  ballMesh,
  boxMesh,
  cylinderMesh,
  flipTriangles,
  joinMeshes,
  planeSection,
  torusMesh,
  transformMesh,
  type Mesh,
} from '../../src/mesh/index.ts';
import { loadKernel } from '../../src/solid/index.ts';

const ask: JointAsk = {
  id: '1-2',
  cut: '1',
  below: { piece: '1', within: [] },
  above: { piece: '2', within: [] },
};

async function jointOf(
  mesh: Mesh,
  normal: Vec3,
  offsetMm: number,
  more: Partial<JointAsk> = {},
  settings: JoinSettings = JOIN_DEFAULTS,
  closed = true,
): Promise<Joint | null> {
  const plane = { normal, offsetMm };
  const { flat } = await loadKernel();
  const face = await openCutFace(mesh, plane, planeSection(mesh, plane), closed, settings, flat);
  const joint = proposeJoint(face, { ...ask, ...more }, settings);
  if (joint) jointSchema.parse(joint);
  return joint;
}

const dowels = (joint: Joint | null): Dowel[] => joint?.regions.flatMap((r) => r.dowels) ?? [];

/** Nearest point of a triangle (Ericson, Real-Time Collision Detection, 5.1.5): an unrelated route. */
function distanceToTriangle(p: Vec3, a: Vec3, b: Vec3, c: Vec3): number {
  const sub = (x: Vec3, y: Vec3): Vec3 => [x[0] - y[0], x[1] - y[1], x[2] - y[2]];
  const dot = (x: Vec3, y: Vec3): number => x[0] * y[0] + x[1] * y[1] + x[2] * y[2];
  const at = (o: Vec3, d: Vec3, t: number): Vec3 => [
    o[0] + t * d[0],
    o[1] + t * d[1],
    o[2] + t * d[2],
  ];
  const [ab, ac, ap] = [sub(b, a), sub(c, a), sub(p, a)];
  const from = (q: Vec3): number => Math.hypot(...sub(p, q));
  const [d1, d2] = [dot(ab, ap), dot(ac, ap)];
  if (d1 <= 0 && d2 <= 0) return from(a);
  const bp = sub(p, b);
  const [d3, d4] = [dot(ab, bp), dot(ac, bp)];
  if (d3 >= 0 && d4 <= d3) return from(b);
  const vc = d1 * d4 - d3 * d2;
  if (vc <= 0 && d1 >= 0 && d3 <= 0) return from(at(a, ab, d1 / (d1 - d3)));
  const cp = sub(p, c);
  const [d5, d6] = [dot(ab, cp), dot(ac, cp)];
  if (d6 >= 0 && d5 <= d6) return from(c);
  const vb = d5 * d2 - d1 * d6;
  if (vb <= 0 && d2 >= 0 && d6 <= 0) return from(at(a, ac, d2 / (d2 - d6)));
  const va = d3 * d6 - d5 * d4;
  if (va <= 0 && d4 - d3 >= 0 && d5 - d6 >= 0)
    return from(at(b, sub(c, b), (d4 - d3) / (d4 - d3 + (d5 - d6))));
  const k = 1 / (va + vb + vc);
  return from(at(at(a, ab, vb * k), ac, vc * k));
}

const corners = (mesh: Mesh, f: number): [Vec3, Vec3, Vec3] =>
  [0, 1, 2].map((k) => {
    const i = mesh.triangles[3 * f + k] as number;
    return [0, 1, 2].map((c) => mesh.positions[3 * i + c]) as unknown as Vec3;
  }) as [Vec3, Vec3, Vec3];

/** Least distance of points all over the hole's wall and floors from the skin. */
function wallByPoints(mesh: Mesh, d: Dowel): number {
  const { u, v } = frameOf(d.axis);
  let least = Infinity;
  const r = d.holeDiameterMm / 2;
  for (let i = 0; i <= 8; i++)
    for (let j = 0; j < 12; j++) {
      const t = -d.depthBelowMm + ((d.depthBelowMm + d.depthAboveMm) * i) / 8;
      const a = (2 * Math.PI * j) / 12;
      const [x, y] = [r * Math.cos(a), r * Math.sin(a)];
      const p = [0, 1, 2].map(
        (k) => d.centreMm[k]! + x * u[k]! + y * v[k]! + t * d.axis[k]!,
      ) as unknown as Vec3;
      for (let f = 0; f < mesh.triangles.length / 3; f++)
        least = Math.min(least, distanceToTriangle(p, ...corners(mesh, f)));
    }
  return least;
}

/** Generalised winding number (van Oosterom and Strackee 1983): 1 inside, 0 outside. */
function winding(mesh: Mesh, p: Vec3): number {
  let sum = 0;
  for (let f = 0; f < mesh.triangles.length / 3; f++) {
    const [a, b, c] = corners(mesh, f).map((q) => q.map((x, k) => x - p[k]!)) as [
      number[],
      number[],
      number[],
    ];
    const [la, lb, lc] = [Math.hypot(...a), Math.hypot(...b), Math.hypot(...c)];
    const dot = (x: number[], y: number[]): number => x[0]! * y[0]! + x[1]! * y[1]! + x[2]! * y[2]!;
    const det =
      a[0]! * (b[1]! * c[2]! - b[2]! * c[1]!) -
      a[1]! * (b[0]! * c[2]! - b[2]! * c[0]!) +
      a[2]! * (b[0]! * c[1]! - b[1]! * c[0]!);
    sum += Math.atan2(det, la * lb * lc + dot(a, b) * lc + dot(b, c) * la + dot(c, a) * lb);
  }
  return sum / (2 * Math.PI);
}

describe('proposeJoint', () => {
  const tilted: Vec3 = [0.36, 0.48, 0.8];
  const bodies: [string, Mesh, Vec3, number][] = [
    ['a bar', boxMesh([300, 100, 100]), [1, 0, 0], 130],
    ['a ball', ballMesh(60, 2), [0, 0, 1], 8],
    ['a torus', torusMesh(80, 25, 32, 16), [1, 0, 0], 0.3],
    ['a block cut aslant', boxMesh([120, 90, 160]), tilted, 120],
    ['a cone-like stub', boxMesh([60, 60, 60]), [Math.SQRT1_2, Math.SQRT1_2, 0], 25],
  ];
  for (const [name, mesh, normal, offset] of bodies)
    it(`proves every wall in ${name}: points all over the holes agree`, async () => {
      const joint = await jointOf(mesh, normal, offset);
      expect(dowels(joint).length).toBeGreaterThanOrEqual(2);
      for (const d of dowels(joint)) {
        const points = wallByPoints(mesh, d);
        expect(d.leastWallMm).toBeGreaterThanOrEqual(d.wallAllowedMm);
        // The proof is for the prism's corners, 0.2 % beyond the circle the points lie on.
        expect(points).toBeGreaterThanOrEqual(d.leastWallMm - 1e-3);
        if (d.leastWallTo === 'skin') expect(points).toBeLessThan(d.leastWallMm + 1.5);
        expect(winding(mesh, d.centreMm)).toBeCloseTo(1, 6);
        expect(d.proved).toBe(true);
      }
      expect(joint?.regions.every((r) => r.onlyRightWay === 'yes')).toBe(true);
    });

  it('gives each separate region dowels of its own, and forbids swapping them', async () => {
    const joint = await jointOf(torusMesh(80, 25, 96, 48), [1, 0, 0], 0);
    expect(joint?.regions).toHaveLength(2);
    for (const r of joint?.regions ?? []) {
      expect(r.dowels.length).toBeGreaterThanOrEqual(2);
      // The section of a torus through its axis: two discs of radius 25.
      expect(Math.abs(r.areaMm2 / (Math.PI * 625) - 1)).toBeLessThan(0.005);
      expect(r.thickestMm).toBeCloseTo(50, 0);
      expect(r.missMm).toBeGreaterThanOrEqual(2);
    }
  });

  it('takes the thickest stock of which two fit', async () => {
    const of = async (side: number) =>
      dowels(await jointOf(boxMesh([200, side, side]), [1, 0, 0], 100)).map((d) => d.diameterMm);
    expect(await of(100)).toEqual([10, 10]);
    // 20 mm square: a 10 mm dowel with 5 mm walls fills it; two 5 mm pins fit across its corners.
    const thin = await of(20);
    expect(thin.length).toBe(2);
    expect(thin[0]).toBeLessThan(8);
  });

  it('adds dowels on a long face', async () => {
    const joint = await jointOf(boxMesh([600, 60, 100]), [0, 0, 1], 50);
    expect(dowels(joint).length).toBe(5);
    expect(joint?.regions[0]?.spreadMm).toBeGreaterThan(100);
  });

  it('keeps clear of keep-outs, other cuts and holes drilled before', async () => {
    const bar = boxMesh([300, 100, 100]);
    const first = await jointOf(bar, [1, 0, 0], 150);
    const [d] = dowels(first);
    const wall = 5;
    const ball = { shape: 'sphere', centreMm: d!.centreMm, radiusMm: 12 } as const;
    const moved = await jointOf(bar, [1, 0, 0], 150, { keepOuts: [ball] });
    expect(dowels(moved).length).toBeGreaterThanOrEqual(2);
    for (const other of dowels(moved)) {
      const gap = Math.hypot(...other.centreMm.map((x, k) => x - d!.centreMm[k]!));
      expect(gap - 12 - other.holeDiameterMm / 2).toBeGreaterThanOrEqual(wall - 0.02);
    }
    const box = { shape: 'box', minMm: [100, 0, 0], maxMm: [200, 100, 55] } as const;
    for (const other of dowels(await jointOf(bar, [1, 0, 0], 150, { keepOuts: [box] })))
      expect(other.centreMm[2] - 55).toBeGreaterThanOrEqual(5.1 + wall - 1e-6);
    const half = { piece: '2', within: [{ normal: [0, 1, 0] as Vec3, offsetMm: 50 }] };
    const cut = await jointOf(bar, [1, 0, 0], 150, { above: half });
    expect(cut?.areaMm2).toBeCloseTo(5000, 6);
    for (const other of dowels(cut))
      expect(50 - other.centreMm[1]).toBeGreaterThanOrEqual(5.1 + wall - 1e-6);
    // A face square to the first: its holes pass those of the first joint.
    const across = await jointOf(bar, [0, 1, 0], 50, { holes: drilledHoles(first!) });
    for (const other of dowels(across))
      for (const hole of dowels(first)) {
        const dz = Math.abs(other.centreMm[2] - hole.centreMm[2]);
        const dx = Math.max(0, Math.abs(other.centreMm[0] - 150) - 21.6);
        const dy = Math.max(0, Math.abs(hole.centreMm[1] - 50) - 21.6);
        expect(Math.hypot(dx, dy, dz)).toBeGreaterThanOrEqual(10.2 + wall - 0.03);
      }
  });

  it('counts a rod through the figure as one dowel, clear of it', async () => {
    const rod = { pointMm: [0, 50, 50] as Vec3, axis: [1, 0, 0] as Vec3, diameterMm: 25.4 };
    const joint = await jointOf(boxMesh([300, 100, 100]), [1, 0, 0], 150, { rods: [rod] });
    expect(joint?.regions[0]?.rodAligns).toBe(true);
    expect(dowels(joint)).toHaveLength(1);
    const [d] = dowels(joint);
    const gap = Math.hypot(d!.centreMm[1] - 50, d!.centreMm[2] - 50);
    expect(gap).toBeGreaterThanOrEqual(12.7 + 5.1 + 5 - 1e-6);
    expect(joint?.regions[0]?.onlyRightWay).toBe('yes');
    const beside = { ...rod, axis: [0, 1, 0] as Vec3 };
    const other = await jointOf(boxMesh([300, 100, 100]), [1, 0, 0], 150, { rods: [beside] });
    expect(other?.regions[0]?.rodAligns).toBe(false);
    expect(dowels(other)).toHaveLength(2);
  });

  it('gives a thin shell advice with figures and no invented dowel', async () => {
    const inner = transformMesh(cylinderMesh(47, 302), [1, 0, 0, 0, 1, 0, 0, 0, 1], [0, 0, -1]);
    const shell = joinMeshes([
      cylinderMesh(50, 300),
      { ...inner, triangles: flipTriangles(inner.triangles) },
    ]);
    const joint = await jointOf(shell, [0, 0, 1], 150);
    expect(dowels(joint)).toEqual([]);
    const region = joint?.regions[0];
    expect(region?.thickestMm).toBeCloseTo(3, 1);
    expect(region?.advice.map((a) => a.kind)).toContain('backing-strip');
    expect(region?.advice[0]?.words).toMatch(/3 mm and a 1.8 mm dowel with its walls needs 6 mm/);
    expect(region?.onlyRightWay).toBe('no');
    expect(joint?.remarks.join()).toMatch(/marks/);
  });

  it('counts overlapping shells once', async () => {
    const two = joinMeshes([boxMesh([100, 40, 40]), boxMesh([100, 40, 40], [0, 20, 0])]);
    const joint = await jointOf(two, [1, 0, 0], 50);
    expect(joint?.areaMm2).toBeCloseTo(60 * 40, 6);
    expect(joint?.regions).toHaveLength(1);
  });

  it('says of an open mesh what it cannot prove', async () => {
    const box = boxMesh([300, 100, 100]);
    const open = { ...box, triangles: box.triangles.slice(0, -3) };
    const joint = await jointOf(open, [0, 0, 1], 50, {}, JOIN_DEFAULTS, false);
    // The facet gone is in an end wall: half of the face's outline there is missing.
    expect(joint?.remarks[0]).toMatch(/open/);
    const still = await jointOf(open, [0, 1, 0], 50, {}, JOIN_DEFAULTS, false);
    expect(still?.closed).toBe(false);
    expect(still?.areaMm2).toBeCloseTo(300 * 100, -3);
    expect(still?.remarks.join()).toMatch(/closed with straight lines/);
    expect(dowels(still).length).toBeGreaterThanOrEqual(2);
    expect(dowels(still).every((d) => !d.proved)).toBe(true);
  });

  it('gives nothing where the pieces do not touch', async () => {
    expect(await jointOf(boxMesh([10, 10, 10]), [1, 0, 0], 30)).toBeNull();
  });

  it('gives the same joint twice', async () => {
    const once = await jointOf(ballMesh(60, 3), [0, 0, 1], 8);
    expect(await jointOf(ballMesh(60, 3), [0, 0, 1], 8)).toEqual(once);
  });
});
