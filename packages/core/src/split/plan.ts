import { add, dot, scale, type Vec3 } from '../math/index.ts';
import { boundsOf, type Plane } from '../mesh/index.ts';
import type { Judge } from './judge.ts';
import type { Task } from './leaf.ts';
import { isCut, type Measured, type MeasuredTree, type Part } from './measure.ts';
import type { SidedPlane } from './seam.ts';
import type { Bound, CutPlane, SplitCut, SplitPiece, SplitPlan, SplitTree } from './types.ts';

/** A, B ... Z, AA, AB ... */
export function letters(i: number): string {
  const last = String.fromCharCode(65 + (i % 26));
  return i < 26 ? last : letters(Math.floor(i / 26) - 1) + last;
}

/** The measured plan as plain data, every piece certified. */
export function planOf(name: string, measured: Measured, part: Part, judge: Judge, task: Task): SplitPlan {
  const box = boundsOf(part.mesh.positions);
  const middle: Vec3 = [0, 1, 2].map((i) => ((box.min[i] as number) + (box.max[i] as number)) / 2) as unknown as Vec3;
  const planes: CutPlane[] = [];
  const planeId = (plane: Plane, origin?: string): string => {
    const known = planes.find(
      (p) =>
        dot(p.normal, plane.normal) > 1 - 1e-12 &&
        Math.abs(p.offsetMm - plane.offsetMm) <= 1e-9 * (1 + Math.abs(p.offsetMm)),
    );
    if (known) return known.id;
    const { normal, offsetMm } = plane;
    const point = add(middle, scale(normal, offsetMm - dot(normal, middle)));
    planes.push({ id: letters(planes.length), normal, offsetMm, point, origin: origin ?? '' });
    return (planes.at(-1) as CutPlane).id;
  };
  for (const { cut } of measured.cuts) planeId(cut, cut.origin);
  const bounds = (within: readonly SidedPlane[]): Bound[] =>
    within.map(({ plane, side }) => ({ plane: planeId(plane), side }));
  const pieceIds = new Map(leaves(measured.tree).map((leaf, i) => [leaf, String(i + 1)]));
  const cutIds = new Map(measured.cuts.map((cut, i) => [cut as MeasuredTree, String(i + 1)]));
  const idsUnder = (node: MeasuredTree): string[] => leaves(node).map((l) => pieceIds.get(l) as string);
  const treeOf = (node: MeasuredTree): SplitTree =>
    isCut(node)
      ? {
          cut: cutIds.get(node) as string,
          plane: planeId(node.cut),
          below: treeOf(node.below),
          above: treeOf(node.above),
        }
      : { piece: pieceIds.get(node) as string };
  const cuts: SplitCut[] = measured.cuts.map((c) => ({
    id: cutIds.get(c) as string,
    plane: planeId(c.cut),
    within: bounds(c.within),
    below: idsUnder(c.below),
    above: idsUnder(c.above),
    turnsDeg: c.turnsDeg,
    heightMm: c.heightMm,
    seam: c.seam,
  }));
  const pieces: SplitPiece[] = leaves(measured.tree).map((leaf) => {
    if (isCut(leaf)) throw new Error('a leaf is no cut');
    return {
      id: pieceIds.get(leaf) as string,
      within: bounds(leaf.within),
      fit: judge.certify(leaf.hull, task.settings.fitCells),
      volumeMm3: part.closed ? leaf.mass.volumeMm3 : null,
      sizeMm: leaf.sizeMm,
      bodies: part.closed ? leaf.bodies : null,
    };
  });
  return {
    part: name,
    planes,
    tree: treeOf(measured.tree),
    cuts,
    pieces,
    complete: pieces.every((p) => p.fit.fits === true),
    cost: measured.cost,
    remarks: remarksOn(pieces, task.bodies),
  };
} // prettier-ignore

const leaves = (node: MeasuredTree): MeasuredTree[] =>
  isCut(node) ? [...leaves(node.below), ...leaves(node.above)] : [node];

function remarksOn(pieces: readonly SplitPiece[], bodies: number): string[] {
  const remarks: string[] = [];
  for (const piece of pieces) {
    const size = piece.sizeMm.map((x) => x.toFixed(1)).join(' x ');
    if (piece.fit.fits === false)
      remarks.push(`Piece ${piece.id} (${size} mm) fits no machine in any orientation.`);
    if (piece.fit.fits === null)
      remarks.push(`Piece ${piece.id} (${size} mm) could not be certified to fit.`);
    if (piece.bodies !== null && piece.bodies > 1 && bodies === 1)
      remarks.push(`Piece ${piece.id} falls into ${piece.bodies} bodies.`);
  }
  return remarks;
}

/** What decides between plans: of one for both sides the cost on both; mirror images need the same supports. */
export function costForBoth({ cost, twinCostMm }: SplitPlan): number {
  if (twinCostMm === undefined) return cost.total;
  const supports = cost.terms.find((t) => t.name === 'supports')?.cost ?? 0;
  return cost.total + twinCostMm + supports;
}

/** Whether two lists of planes really differ: some plane of one has no near twin in the other. */
export function differ(a: readonly Plane[], b: readonly Plane[], sizeMm: number): boolean {
  const lacks = (x: readonly Plane[], y: readonly Plane[]): boolean =>
    x.some(
      (p) =>
        !y.some((q) => {
          const same = dot(p.normal, q.normal);
          return (
            Math.abs(same) > Math.cos((8 * Math.PI) / 180) &&
            Math.abs(p.offsetMm - Math.sign(same) * q.offsetMm) < 0.06 * sizeMm
          );
        }),
    );
  return lacks(a, b) || lacks(b, a);
}
