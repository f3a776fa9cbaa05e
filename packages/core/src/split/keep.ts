import type { Plane } from '../mesh/index.ts';
import { dot, type Vec3 } from '../math/index.ts';
import type { SidedPlane } from './seam.ts';

/** A place no cut may pass through, part coordinates, mm. */
export type KeepZone =
  | { readonly shape: 'box'; readonly minMm: Vec3; readonly maxMm: Vec3 }
  | { readonly shape: 'sphere'; readonly centreMm: Vec3; readonly radiusMm: number };

/** Offsets along the unit normal between which a plane would pass through the zone. */
export function zoneInterval(zone: KeepZone, normal: Vec3): readonly [number, number] {
  if (zone.shape === 'sphere') {
    const middle = dot(zone.centreMm, normal);
    return [middle - zone.radiusMm, middle + zone.radiusMm];
  }
  let low = 0;
  let high = 0;
  for (let i = 0; i < 3; i++) {
    const a = (zone.minMm[i] as number) * (normal[i] as number);
    const b = (zone.maxMm[i] as number) * (normal[i] as number);
    low += Math.min(a, b);
    high += Math.max(a, b);
  }
  return [low, high];
}

/** Whether the plane passes through the inside of the zone; touching it is allowed. */
export function crossesZone(zone: KeepZone, plane: Plane): boolean {
  const [low, high] = zoneInterval(zone, plane.normal);
  const slack = 1e-9 * (1 + Math.abs(low) + Math.abs(high));
  return plane.offsetMm > low + slack && plane.offsetMm < high - slack;
}

/** Zones that reach into what the earlier cuts left; the others cannot be hit any more. */
export const zonesWithin = (
  zones: readonly KeepZone[],
  within: readonly SidedPlane[],
): readonly KeepZone[] =>
  zones.filter((zone) =>
    within.every(({ plane, side }) => {
      const [low, high] = zoneInterval(zone, plane.normal);
      return side === 'below' ? low < plane.offsetMm : high > plane.offsetMm;
    }),
  );
