import type { CutFace } from './joint.ts';
import { distanceToOutline, insidePatch, patchBounds, type Patch } from './patch.ts';
import type { Dowel, Joint } from './schema.ts';

/** Letters are sunk this deep and drawn with a groove this wide, mm: two walls of a 0.4 mm line. */
export const MARK_DEPTH_MM = 0.6;
export const MARK_GROOVE_MM = 0.8;
/** Width of a letter with the gap after it, as a share of its height. */
export const MARK_ADVANCE = 0.8;

/** Heights tried, mm: under 5 mm printed letters can't be read (common practice, no source). */
const HEIGHTS_MM = [14, 10, 7, 5] as const;
/** Kept free round a mark, mm. */
const ROOM_MM = 1;

/**
 * A place for a mark on both faces of a joint, clear of outline, dowels and the skin behind it;
 * the tallest letters that find one. The room asked for is the circle round the whole mark.
 */
export function placeMark(
  face: CutFace,
  patches: readonly Patch[],
  dowels: readonly Dowel[],
  letters: number,
): Joint['mark'] {
  for (const heightMm of HEIGHTS_MM) {
    const radius =
      Math.hypot(letters * MARK_ADVANCE * heightMm, heightMm) / 2 + MARK_GROOVE_MM / 2 + ROOM_MM;
    let best: Joint['mark'] = null;
    let most = 0;
    for (const patch of patches) {
      const box = patchBounds(patch);
      const step = Math.max((box.x1 - box.x0 + box.y1 - box.y0) / 40, 0.5);
      for (let x = box.x0 + step / 2; x < box.x1; x += step)
        for (let y = box.y0 + step / 2; y < box.y1; y += step) {
          let room = Infinity;
          for (const d of dowels)
            room = Math.min(
              room,
              Math.hypot(d.faceMm[0] - x, d.faceMm[1] - y) - d.holeDiameterMm / 2 - radius,
            );
          if (room <= most || !insidePatch(patch, x, y)) continue;
          room = Math.min(room, distanceToOutline(patch, x, y) - radius);
          if (room <= most) continue;
          const z = MARK_DEPTH_MM;
          if (!face.skin.clear({ cx: x, cy: y, z0: -z, z1: z, r: radius - ROOM_MM }, ROOM_MM))
            continue;
          most = room;
          best = { faceMm: [x, y], heightMm };
        }
    }
    if (best) return best;
  }
  return null;
}
