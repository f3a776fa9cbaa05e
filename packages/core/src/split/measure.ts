import {
  dot,
  quatBetween,
  quatToMatrix,
  scale,
  sub,
  turnsXyzDeg,
  length,
  type Vec3,
} from '../math/index.ts';
import type { FitBody } from '../fit/index.ts';
import { convexHull } from '../hull/index.ts';
import { boundsOf, sizeOf, transformPositions, type Mesh, type Plane } from '../mesh/index.ts';
import { clipBody, countBodies, heightsAlong, skinPoints, type Body } from './body.ts';
import { costTerms, type CostValues } from './cost.ts';
import { featuresCut } from './features.ts';
import { extremePoints } from './frames.ts';
import type { Cut, Task } from './leaf.ts';
import { massOf, overhangArea, sectionArea, type Mass } from './mass.ts';
import { bendingStress, MOST_STRESS } from './sweep-cost.ts';
import { isPlain } from './plain.ts';
import { outlineWithin, regionsOf, seamOf, type SidedPlane } from './seam.ts';
import { mirrored, mirroredDirection } from './symmetry.ts';
import type { Seam } from './types.ts';

/** A binary tree of planes; null is a piece. */
export type PlaneTree = {
  readonly cut: Cut;
  readonly below: PlaneTree;
  readonly above: PlaneTree;
} | null;

/** The part as it is, not thinned. */
export interface Part {
  readonly mesh: Mesh;
  readonly body: Body;
  readonly closed: boolean;
  /** False for the coarser copy: hulls of its pieces are then taken roughly. */
  readonly exact: boolean;
}

export interface MeasuredCut {
  readonly cut: Cut;
  readonly within: readonly SidedPlane[];
  readonly turnsDeg: Vec3;
  readonly heightMm: number;
  readonly seam: Seam;
  readonly below: MeasuredTree;
  readonly above: MeasuredTree;
}

export interface MeasuredPiece {
  readonly within: readonly SidedPlane[];
  readonly body: Body;
  /** Its convex hull; for a coarser part, points that reach far. */
  readonly hull: FitBody;
  readonly mass: Mass;
  readonly sizeMm: Vec3;
  readonly bodies: number;
}

export type MeasuredTree = MeasuredCut | MeasuredPiece;
export const isCut = (node: MeasuredTree): node is MeasuredCut => 'cut' in node;

export interface Measured {
  readonly tree: MeasuredTree;
  /** A parent before its children. */
  readonly cuts: readonly MeasuredCut[];
  readonly pieces: readonly MeasuredPiece[];
  readonly cost: ReturnType<typeof costTerms>;
}

/** Carries a tree of planes out on a part and measures every cut and piece. */
export function measureTree(tree: PlaneTree, part: Part, task: Task): Measured {
  const cuts: MeasuredCut[] = [];
  const pieces: MeasuredPiece[] = [];
  const values = { stress: 0, sliver: 0, features: 0, noDowel: 0, thinWall: 0 };
  const { settings } = task;

  const walk = (node: PlaneTree, body: Body, mass: Mass, within: readonly SidedPlane[]): MeasuredTree => {
    const halves = node && clipBody(body, node.cut.normal, node.cut.offsetMm);
    if (!node || !halves?.below || !halves.above) {
      // A plane that leaves one side empty is no cut; what it was to part goes on being cut.
      if (node && halves) return walk(halves.below ? node.below : node.above, body, mass, within);
      const points = skinPoints(body);
      const piece = {
        within,
        body,
        hull: part.exact ? convexHull(points) : extremePoints(points, 200),
        mass,
        sizeMm: sizeOf(boundsOf(points)),
        bodies: part.closed && within.length > 0 ? countBodies(body) : task.bodies,
      };
      pieces.push(piece);
      return piece;
    }
    const plane: Plane = { normal: node.cut.normal, offsetMm: node.cut.offsetMm };
    const loops = outlineWithin(part.mesh, plane, within, task.seenFrom);
    const seam = seamOf(loops, plane, part.closed);
    const place = cuts.length;
    cuts.push(undefined as unknown as MeasuredCut);
    const masses = { below: massOf(halves.below), above: massOf(halves.above) };
    if (part.closed) {
      const lighter = masses.below.volumeMm3 < masses.above.volumeMm3 ? masses.below : masses.above;
      if (seam.centroidMm)
        values.stress += Math.min(
          MOST_STRESS,
          bendingStress(
            Math.max(0, lighter.volumeMm3),
            length(sub(lighter.centreMm, seam.centroidMm)),
            seam.sectionModulusMm3 ?? 0,
            settings.densityGPerCm3,
          ),
        );
      const here = sectionArea(body, plane);
      for (const step of [-settings.leastThicknessMm, settings.leastThicknessMm])
        if (step !== 0)
          values.sliver += Math.max(
            0,
            here - Math.max(0, sectionArea(body, { ...plane, offsetMm: plane.offsetMm + step })),
          );
      for (const region of regionsOf(loops)) {
        const wall = (2 * region.areaMm2) / region.outlineMm;
        if (wall < settings.dowelRoomMm) values.noDowel++;
        values.thinWall += Math.max(0, settings.leastThicknessMm - wall);
      }
    }
    values.features += featuresCut(
      task.features.filter((f) => {
        const p: Vec3 = [f.points[0] as number, f.points[1] as number, f.points[2] as number];
        return within.every((w) => dot(w.plane.normal, p) > w.plane.offsetMm === (w.side === 'above')); // prettier-ignore
      }),
      plane,
    );
    const below = walk(node.below, halves.below, masses.below, [...within, { plane, side: 'below' }]);
    const above = walk(node.above, halves.above, masses.above, [...within, { plane, side: 'above' }]);
    const measured: MeasuredCut = {
      cut: node.cut,
      within,
      turnsDeg: turnsXyzDeg(quatToMatrix(quatBetween(plane.normal, [0, 0, 1]))),
      heightMm: plane.offsetMm - lowest(body, plane.normal),
      seam,
      below,
      above,
    };
    cuts[place] = measured;
    return measured;
  }; // prettier-ignore

  const tree0 = walk(tree, part.body, massOf(part.body), []);
  const stands = pieces.map((piece) => bestStand(piece, task));
  const volumes = pieces.map((p) => Math.max(0, p.mass.volumeMm3));
  const mean = volumes.reduce((a, b) => a + b, 0) / pieces.length;
  const total = (f: (seam: Seam) => number): number => cuts.reduce((sum, c) => sum + f(c.seam), 0);
  const costValues: CostValues = {
    seamMm: total((s) => s.lengthMm),
    seenMm: task.seenFrom ? total((s) => s.seenMm) : 0,
    stressMPa: values.stress,
    noDowelRegions: values.noDowel,
    sliverMm2: values.sliver,
    thinWallMm: values.thinWall,
    offPlatePieces: stands.filter((s) => s === null).length,
    overhangMm2: stands.reduce((sum: number, s) => sum + (s ?? 0), 0),
    imbalance: part.closed && mean > 0 ? Math.max(...volumes) / mean - 1 : 0,
    features: values.features,
    brokenMirrors: brokenMirrors(cuts, task),
    oddAngles: cuts.filter(
      ({ cut }) => cut.origin !== 'given' && !isPlain(cut.normal, task.candidates.plain),
    ).length,
    looseBodies: Math.max(0, pieces.reduce((sum, p) => sum + p.bodies - 1, 0) - (task.bodies - 1)),
  };
  return { tree: tree0, cuts, pieces, cost: costTerms(costValues, settings) };
}

function lowest(body: Body, n: Vec3): number {
  const h = heightsAlong(skinPoints(body), n);
  let low = Infinity;
  for (const x of h) if (x < low) low = x;
  return low;
}

/**
 * Least overhang of a piece over the cut faces it can stand on in some envelope, mm2; null when it
 * can stand on none. A part without cuts costs nothing.
 */
function bestStand(piece: MeasuredPiece, task: Task): number | null {
  if (piece.within.length === 0) return 0;
  let best: number | null = null;
  const points = piece.hull instanceof Float64Array ? piece.hull : piece.hull.positions;
  for (const { plane, side } of piece.within) {
    const down: Vec3 = side === 'below' ? plane.normal : (plane.normal.map((x) => -x) as unknown as Vec3); // prettier-ignore
    const turn = quatToMatrix(quatBetween(down, [0, 0, -1]));
    if (!task.judge.stands(transformPositions(points, turn))) continue;
    const overhang = overhangArea(piece.body, down);
    if (best === null || overhang < best) best = overhang;
  }
  return best;
}

/** Mirror planes of the part that the plan breaks: some cut has no mirror image among the cuts. */
function brokenMirrors(cuts: readonly MeasuredCut[], task: Task): number {
  return task.candidates.mirrors.filter((mirror) =>
    cuts.some(({ cut }) => {
      const n = mirroredDirection(cut.normal, mirror);
      const foot: Vec3 = scale(cut.normal, cut.offsetMm);
      const offset = dot(n, mirrored(foot, mirror));
      return !cuts.some(({ cut: other }) => {
        const same = dot(n, other.normal);
        return (
          Math.abs(same) > 1 - 1e-9 &&
          Math.abs(Math.sign(same) * offset - other.offsetMm) < 1e-6 * (1 + Math.abs(offset))
        );
      });
    }),
  ).length;
}
