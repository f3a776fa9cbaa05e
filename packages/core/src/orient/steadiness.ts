import { degrees, STANDARD_GRAVITY } from '../units.ts';
import type { Contact } from './contact.ts';
import type { Stage } from './growth.ts';

type Point = readonly [number, number];

/**
 * How far the base may be tilted before the part tips over, degrees: the angle at the centre of
 * mass between straight down and the nearest edge of the base. Negative when the centre is not
 * above the base, so that the part falls by itself; 0 on a line or a point it balances on.
 */
export function tipDeg(base: readonly Point[], centre: readonly [number, number, number]): number {
  const room = roomInside(base, [centre[0], centre[1]]);
  return degrees(Math.atan2(room, Math.max(centre[2], 1e-300)));
}

/** Signed distance of `p` to the edge of a convex counter-clockwise polygon, positive inside. */
function roomInside(base: readonly Point[], p: Point): number {
  let nearest = Infinity;
  let inside = base.length > 2;
  base.forEach(([ax, ay], i) => {
    const [bx, by] = base[(i + 1) % base.length] as Point;
    const ux = bx - ax;
    const uy = by - ay;
    const dx = p[0] - ax;
    const dy = p[1] - ay;
    if (ux * dy - uy * dx < 0) inside = false;
    const l = ux * ux + uy * uy;
    const s = l > 0 ? Math.max(0, Math.min(1, (dx * ux + dy * uy) / l)) : 0;
    nearest = Math.min(nearest, Math.hypot(dx - s * ux, dy - s * uy));
  });
  return inside ? nearest : -nearest;
}

/** What a bed that moves under the growing part does to it; accelerations in mm/s2. */
export interface BedLimit {
  readonly heightMm: number;
  /** From here on the edge of the contact area is pulled upwards. */
  readonly liftsAt: number;
  /** The part topples over the edge of its base. */
  readonly tipsAt: number;
  /** The part slides; null without a figure for friction. */
  readonly slidesAt: number | null;
}

export interface BedOptions {
  /** Unit vector in plan along which the bed moves, turned frame. */
  readonly axis: Point;
  /** Mass per volume, g/mm3. */
  readonly densityGPerMm3: number;
  /** Pull the bed can hold, kPa; 0 for none. */
  readonly adhesionKpa: number;
  readonly friction: number | null;
}

/**
 * Greatest bed accelerations at one stage of the print, from statics of a rigid block.
 *
 * Topples: the resultant of weight and inertia leaves the base, a = g b / h with b the way from
 * under the centre of mass to the base's edge along the axis. Lifts: the pressure under the contact
 * faces, linear as under an eccentrically loaded footing, falls to minus the adhesion at one edge;
 * for a rectangle without adhesion a = g b / (3 h), for a disc g R / (4 h). The plate's bending,
 * warping and vibration are not counted: an estimate.
 */
export function bedLimit(contact: Contact, stage: Stage, options: BedOptions): BedLimit {
  const g = STANDARD_GRAVITY * 1000;
  const [ax, ay] = options.axis;
  const [cx, cy, h] = stage.centre;
  const c = cx * ax + cy * ay;
  const massKg = (stage.volumeMm3 * options.densityGPerMm3) / 1000;
  const tipsAt = (g * Math.max(0, reach(contact.base, [cx, cy], options.axis))) / h;
  // Adhesion in N/mm2 as an acceleration of this mass: 1 kPa = 1e-3 N/mm2 = 1 kg mm/s2 per mm2.
  const hold = massKg > 0 ? options.adhesionKpa / massKg : 0;
  const slidesAt = options.friction === null ? null : options.friction * g + hold * contact.areaMm2;

  let liftsAt = 0;
  const area = contact.areaMm2;
  const [ixx, ixy, iyy] = contact.momentsMm4;
  const inertia = ixx * ax * ax + 2 * ixy * ax * ay + iyy * ay * ay;
  if (area > 0 && inertia > 0) {
    const middle = contact.middle[0] * ax + contact.middle[1] * ay;
    const along = contact.base.map(([x, y]) => x * ax + y * ay);
    const press = (g / area + hold) * inertia;
    const back = press / (middle - Math.min(...along)) - g * (c - middle);
    const front = press / (Math.max(...along) - middle) + g * (c - middle);
    liftsAt = Math.max(0, Math.min(back, front) / h);
  }
  return { heightMm: stage.heightMm, liftsAt, tipsAt: Math.max(tipsAt, 0), slidesAt };
}

/** Least way from `p` along +axis or -axis to the edge of the base; 0 outside it or on a line. */
function reach(base: readonly Point[], p: Point, axis: Point): number {
  if (base.length < 3 || roomInside(base, p) <= 0) return 0;
  let least = Infinity;
  base.forEach(([ax, ay], i) => {
    const [bx, by] = base[(i + 1) % base.length] as Point;
    const sideA = (ax - p[0]) * axis[1] - (ay - p[1]) * axis[0];
    const sideB = (bx - p[0]) * axis[1] - (by - p[1]) * axis[0];
    if (sideA >= 0 === sideB >= 0) return;
    const s = sideA / (sideA - sideB);
    const at = (ax + s * (bx - ax) - p[0]) * axis[0] + (ay + s * (by - ay) - p[1]) * axis[1];
    least = Math.min(least, Math.abs(at));
  });
  return Number.isFinite(least) ? least : 0;
}
