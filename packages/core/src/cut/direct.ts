import { checkCancelled, type Context } from '../context.ts';
import { circumscribed, HOLE_SIDES, MARK_DEPTH_MM, type Dowel, type Joint } from '../join/index.ts';
import { add, dot, frameOf, length, scale, sub, type Vec3 } from '../math/index.ts';
import { fromFrame, type Mesh } from '../mesh/index.ts';
import type { FlatKernel } from '../solid/index.ts';
import type { SplitPlan, SplitTree } from '../split/types.ts';
import { surfaceOf } from './check.ts';
import { planeOf } from './joints.ts';
import { halve, meshOf, Points, shellOf, type Shell } from './shell.ts';
import { sink, type Recess } from './sink.ts';
import { jointFrame, markLoops, type Side } from './tools.ts';

/**
 * The pieces cut, drilled and marked facet by facet: only what a plane meets is touched, so it
 * takes a fraction of the solid kernel's time, and every other vertex stays as it is. Holes and
 * marks are sunk where nothing else of the piece is near; the joints' walls see to that.
 *
 * @param mesh closed and oriented
 * @returns a mesh for each piece; null where that is not sure to give the same solids as the kernel:
 * a section that crosses itself, a recess near anything but its face, a piece that does not close
 */
export function cutDirectly(
  mesh: Mesh,
  plan: SplitPlan,
  joints: readonly Joint[],
  marks: boolean,
  flat: FlatKernel,
  context: Context = {},
): Map<string, Mesh> | null {
  const points = new Points(mesh.positions);
  const faces = new Map(plan.cuts.map((cut, i) => [cut.id, i + 1]));
  const leaves = new Map<string, Shell>();
  const walk = (tree: SplitTree, shell: Shell): boolean => {
    if ('piece' in tree) {
      leaves.set(tree.piece, shell);
      return true;
    }
    checkCancelled(context);
    context.progress?.((faces.get(tree.cut) ?? 0) / (plan.cuts.length + 1), 'cuts');
    const halves = halve(shell, points, planeOf(plan, tree.plane), faces.get(tree.cut) ?? 0, flat);
    if (!halves?.below || !halves.above) return false;
    return walk(tree.below, halves.below) && walk(tree.above, halves.above);
  };
  if (!walk(plan.tree, shellOf(mesh))) return null;

  const pieces = new Map<string, Mesh>();
  for (const [id, leaf] of leaves) {
    checkCancelled(context);
    let shell: Shell | null = leaf;
    const holes: Capsule[] = [];
    for (const cut of plan.cuts) {
      const here = joints.filter((j) => j.cut === cut.id && (j.below === id || j.above === id));
      const side: Side = here[0]?.below === id ? 'below' : 'above';
      const dowels = here.flatMap((j) => j.regions.flatMap((r) => r.dowels));
      const plane = planeOf(plan, cut.plane);
      if (dowels.some((d) => dot(d.axis, plane.normal) < 1 - 1e-12)) return null;
      const own = dowels.map((d) => capsuleOf(d, side));
      if (own.some((a) => holes.some((b) => touch(a, b)))) return null;
      holes.push(...own);
      const recesses = [
        ...dowels.map((d) => holeRecess(d, side)),
        ...(marks ? here.flatMap((j) => markRecess(j, side, flat)) : []),
      ];
      if (recesses.length > 0)
        shell = sink(shell, points, plane, faces.get(cut.id) ?? 0, side, recesses, flat);
      if (!shell) return null;
    }
    const piece = meshOf(shell, points);
    if (!surfaceOf(piece).oriented) return null;
    pieces.set(id, piece);
  }
  return pieces;
}

/** The corners are those of the kernel's drill. */
function holeRecess(dowel: Dowel, side: Side): Recess {
  const inwards = side === 'below' ? scale(dowel.axis, -1) : dowel.axis;
  const { u, v } = frameOf(inwards);
  const radius = circumscribed(dowel.holeDiameterMm / 2);
  const outline = new Float64Array(3 * HOLE_SIDES);
  for (let k = 0; k < HOLE_SIDES; k++) {
    // Counter-clockwise about the axis, whichever way the drill goes in.
    const a = ((side === 'below' ? -2 : 2) * Math.PI * k) / HOLE_SIDES;
    for (let i = 0; i < 3; i++)
      outline[3 * k + i] =
        (dowel.centreMm[i] as number) +
        radius * (Math.cos(a) * (u[i] as number) + Math.sin(a) * (v[i] as number));
  }
  return {
    outlines: [outline],
    depthMm: side === 'below' ? dowel.depthBelowMm : dowel.depthAboveMm,
  };
}

function markRecess(joint: Joint, side: Side, flat: FlatKernel): Recess[] {
  const loops = markLoops(flat, joint, side);
  if (loops.length === 0) return [];
  const frame = jointFrame(joint);
  const outlines = loops.map((loop) => {
    const outline = new Float64Array((loop.length / 2) * 3);
    for (let i = 0; i < loop.length / 2; i++)
      outline.set(fromFrame(frame, loop[2 * i] as number, loop[2 * i + 1] as number), 3 * i);
    return outline;
  });
  return [{ outlines, depthMm: MARK_DEPTH_MM }];
}

/** A hole as a line with a reach round it: holes of other cuts that stay off it are clear. */
interface Capsule {
  readonly from: Vec3;
  readonly way: Vec3;
  readonly reachMm: number;
}

function capsuleOf(dowel: Dowel, side: Side): Capsule {
  const depth = side === 'below' ? -dowel.depthBelowMm : dowel.depthAboveMm;
  return {
    from: dowel.centreMm,
    way: scale(dowel.axis, depth),
    reachMm: circumscribed(dowel.holeDiameterMm / 2),
  };
}

const touch = (a: Capsule, b: Capsule): boolean =>
  segmentGap(a.from, a.way, b.from, b.way) <= a.reachMm + b.reachMm;

/** Least distance of the stretches p + s d and q + t e, 0 <= s, t <= 1, mm. */
function segmentGap(p: Vec3, d: Vec3, q: Vec3, e: Vec3): number {
  const clamp = (x: number): number => Math.min(1, Math.max(0, x));
  const r = sub(p, q);
  const [dd, ee, de, dr, er] = [dot(d, d), dot(e, e), dot(d, e), dot(d, r), dot(e, r)];
  const gap = (s: number, t: number): number => length(sub(add(r, scale(d, s)), scale(e, t)));
  const across = dd * ee - de * de;
  const ends = [
    gap(0, clamp(er / ee)),
    gap(1, clamp((er + de) / ee)),
    gap(clamp(-dr / dd), 0),
    gap(clamp((de - dr) / dd), 1),
  ];
  if (across > 1e-12 * dd * ee) {
    const s = (de * er - ee * dr) / across;
    const t = (dd * er - de * dr) / across;
    if (s >= 0 && s <= 1 && t >= 0 && t <= 1) ends.push(gap(s, t));
  }
  return Math.min(...ends);
}
