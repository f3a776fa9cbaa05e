import type { Envelope } from '../envelope/index.ts';
import { placeInYaw, type Placement } from '../fit/index.ts';
import type { Hull } from '../hull/index.ts';
import {
  multiplyQuat,
  quatBetween,
  quatToMatrix,
  turnsXyzDeg,
  type Quat,
  type Vec3,
} from '../math/index.ts';
import { transformPositions } from '../mesh/index.ts';

/**
 * Where the part stands with `up` (unit, part coordinates) as +Z, or null when no turn about the
 * vertical brings it into the envelope. The shortest tilt, then the exact fit in the plan.
 */
export function placeUp(hull: Hull, up: Vec3, envelope: Envelope): Placement | null {
  const tilt: Quat = quatBetween(up, [0, 0, 1]);
  const positions = transformPositions(hull.positions, quatToMatrix(tilt));
  const placed = placeInYaw({ positions, triangles: hull.triangles }, envelope);
  if (placed === null) return null;
  const rotation = multiplyQuat(placed.rotation, tilt);
  return { ...placed, rotation, turnsDeg: turnsXyzDeg(quatToMatrix(rotation)) };
}
