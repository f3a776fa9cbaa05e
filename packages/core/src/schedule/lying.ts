import { IDENTITY, multiplyQuat, quatAbout, quatToMatrix, rotate, turnsXyzDeg, type Vec3 } from '../math/index.ts'; // prettier-ignore
import { radians } from '../units.ts';
import { coarsened, convexOutline, moved, turned } from '../hull/index.ts';
import type { PlateLoad } from './plates.ts';
import type { PlannedPrint } from './schema.ts';

/**
 * How each piece of a plate stands: its way up, then the turn and the move of its place on a shared
 * plate, as one rotation and translation. Pieces whose way up or place is not known are left out.
 */
export function placementsOf(
  { pieces, on }: PlateLoad,
  machine: string,
): PlannedPrint['placements'] {
  const layout = on[machine]?.layout;
  return pieces.flatMap((piece, i) => {
    const own = piece.on[machine]?.placement;
    const at = layout?.find((p) => p.index === i);
    // Several pieces without places: a print that was started by hand.
    if (!own || (!at && pieces.length > 1)) return [];
    const turn = at ? quatAbout([0, 0, 1], radians(at.turnDeg)) : IDENTITY;
    const rotation = multiplyQuat(turn, own.rotation);
    const [x, y, z] = rotate(quatToMatrix(turn), own.translationMm);
    const translationMm: Vec3 = [x + (at?.xMm ?? 0), y + (at?.yMm ?? 0), z];
    return [
      {
        piece: piece.id,
        rotation: [...rotation] as PlannedPrint['placements'][number]['rotation'],
        turnsDeg: [...turnsXyzDeg(quatToMatrix(rotation))] as [number, number, number],
        translationMm: [...translationMm] as [number, number, number],
      },
    ];
  });
}

/** Corners of an outline to look at. */
const OUTLINE_CORNERS = 32;

/** The pieces of a plate where they lie on it; a piece alone lies where its footprint says. */
export function outlinesOf({ pieces, on }: PlateLoad, machine: string): PlannedPrint['outlines'] {
  return pieces.flatMap((piece, i) => {
    const shadow = piece.on[machine]?.footprintMm;
    if (!shadow?.length) return [];
    const layout = on[machine]?.layout;
    const at = layout?.find((p) => p.index === i);
    // Several pieces without places: a print that was started by hand.
    if (!at && pieces.length > 1) return [];
    const outline = coarsened(convexOutline(shadow), OUTLINE_CORNERS);
    const placed = at ? moved(turned(outline, radians(at.turnDeg)), [at.xMm, at.yMm]) : outline;
    const round = (v: number): number => Math.round(v * 100) / 100;
    return [{ piece: piece.id, cornersMm: placed.map(([x, y]): [number, number] => [round(x), round(y)]) }]; // prettier-ignore
  });
}
