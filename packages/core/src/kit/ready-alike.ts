import { shadowOf, type PrintingMachine, type Ready } from '../estimate/index.ts';
import { convexHull } from '../hull/index.ts';
import { quatToMatrix, rotate, transpose } from '../math/index.ts';
import type { Mesh } from '../mesh/index.ts';
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
  // The way up on a machine is the same for every recipe.
  const places = machines.map(({ envelope }, k) => {
    const ready = made[0]?.[k];
    if (!ready) return null;
    const up = rotate(transpose(quatToMatrix(ready.rotation)), [0, 0, 1]);
    const placed = placeUp(hull, rotate(like.turn, up), envelope);
    if (!placed) return undefined;
    const { rotation, turnsDeg, translationMm, sizeMm } = placed;
    return {
      rotation,
      turnsDeg,
      translationMm,
      sizeMm,
      shadowMm: shadowOf(hull.positions, placed),
    };
  });
  if (places.includes(undefined)) return null;
  return made.map((row) =>
    row.map((ready, k) => {
      const place = places[k];
      return ready && place ? { ...ready, ...place } : null;
    }),
  );
}
