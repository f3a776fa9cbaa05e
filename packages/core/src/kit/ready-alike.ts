import type { PrintingMachine, Ready } from '../estimate/index.ts';
import { convexHull } from '../hull/index.ts';
import { quatToMatrix, rotate, transpose, type Vec3 } from '../math/index.ts';
import { transformPositions, type Mesh } from '../mesh/index.ts';
import { placeUp } from '../orient/index.ts';
import { bodyOf, likeness } from './alike.ts';

/**
 * What holds of a part for its copy or mirror image: the same way up, mirrored for a twin, with the
 * same filament, hours and supports. Only the place on the plate is found anew, for a mirrored
 * outline may lie otherwise.
 * @param made per recipe and machine, of `source`, as `readyPart` gives it
 * @returns the same of `mesh`; null when the bodies are not alike, or no place is found where the
 *   source has one: then it must be made ready for itself
 */
export function readyAlike(
  mesh: Mesh,
  source: Mesh,
  made: readonly (readonly (Ready | null)[])[],
  machines: readonly PrintingMachine[],
): (Ready | null)[][] | null {
  const like = likeness(bodyOf(source), bodyOf(mesh));
  if (!like) return null;
  const hull = convexHull(mesh.positions);
  const out: (Ready | null)[][] = [];
  for (const row of made) {
    const mine: (Ready | null)[] = [];
    for (const [k, ready] of row.entries()) {
      const envelope = machines[k]?.envelope;
      if (!ready || !envelope) {
        mine.push(null);
        continue;
      }
      const up = rotate(transpose(quatToMatrix(ready.rotation)), [0, 0, 1]);
      const placed = placeUp(hull, rotate(like.turn, up), envelope);
      if (!placed) return null;
      const points = transformPositions(hull.positions, quatToMatrix(placed.rotation));
      mine.push({
        ...ready,
        rotation: placed.rotation,
        turnsDeg: placed.turnsDeg,
        translationMm: placed.translationMm,
        sizeMm: placed.sizeMm,
        shadowMm: shadow(points, placed.translationMm),
      });
    }
    out.push(mine);
  }
  return out;
}

function shadow(points: Float64Array, move: Vec3): [number, number][] {
  const out: [number, number][] = [];
  for (let i = 0; i < points.length; i += 3)
    out.push([(points[i] as number) + move[0], (points[i + 1] as number) + move[1]]);
  return out;
}
