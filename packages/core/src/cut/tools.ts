import type { Vec3 } from '../math/index.ts';
import { planeFrame, type PlaneFrame } from '../mesh/index.ts';
import {
  circumscribed,
  HOLE_SIDES,
  MARK_ADVANCE,
  MARK_DEPTH_MM,
  MARK_GROOVE_MM,
} from '../join/index.ts';
import type { Dowel, Joint } from '../join/index.ts';
import type { FlatKernel, Solid, Solids } from '../solid/index.ts';
import { strokeText } from './strokes.ts';

/** The tools reach this far out of the cut face, where the piece ends anyway, mm. */
const OUT_MM = 1;

export type Side = 'below' | 'above';

/** Area of the prism that stands for a round hole, mm2: its flats touch the circle from outside. */
export const prismArea = (holeDiameterMm: number): number =>
  HOLE_SIDES * (holeDiameterMm / 2) ** 2 * Math.tan(Math.PI / HOLE_SIDES);

/** Material that a dowel's hole takes from the piece on one side, mm3. */
export const holeVolume = (dowel: Dowel, side: Side): number =>
  prismArea(dowel.holeDiameterMm) * (side === 'below' ? dowel.depthBelowMm : dowel.depthAboveMm);

/** The drill for one side of a dowel, a little longer than the hole at its mouth. */
export function drill(solids: Solids, dowel: Dowel, side: Side): Solid {
  const out = side === 'below' ? OUT_MM : -OUT_MM;
  const [x, y, z] = dowel.axis;
  const from: Vec3 = [
    dowel.centreMm[0] + out * x,
    dowel.centreMm[1] + out * y,
    dowel.centreMm[2] + out * z,
  ];
  const inwards: Vec3 = side === 'below' ? [-x, -y, -z] : [x, y, z];
  const depth = side === 'below' ? dowel.depthBelowMm : dowel.depthAboveMm;
  const radius = circumscribed(dowel.holeDiameterMm / 2);
  return solids.cylinder(from, inwards, radius, depth + OUT_MM, HOLE_SIDES);
}

/** What is written on each face of a joint: the piece it is, and the piece it is glued to. */
export const markText = (joint: Pick<Joint, 'below' | 'above'>, side: Side): string =>
  side === 'below' ? `${joint.below}-${joint.above}` : `${joint.above}-${joint.below}`;

/** Outlines of a mark's grooves in face coordinates, readable when one looks at the face, mm. */
export function markLoops(flat: FlatKernel, joint: Joint, side: Side): Float64Array[] {
  if (!joint.mark) return [];
  const { faceMm, heightMm } = joint.mark;
  const mirror = side === 'below' ? 1 : -1;
  const grooves = strokeText(markText(joint, side), heightMm, MARK_ADVANCE).flatMap((line) =>
    grooveLoops(line.map((v, k) => (k % 2 === 0 ? faceMm[0] + mirror * v : faceMm[1] + v))),
  );
  return flat.unite(grooves);
}

/** Material that a joint's mark takes from one side, mm3: flat area x depth. */
export const markVolume = (flat: FlatKernel, joint: Joint, side: Side): number =>
  joint.mark ? flat.area(markLoops(flat, joint, side)) * MARK_DEPTH_MM : 0;

/** The groove of a mark as a solid; null without a place for it. */
export function markTool(solids: Solids, flat: FlatKernel, joint: Joint, side: Side): Solid | null {
  const loops = markLoops(flat, joint, side);
  if (loops.length === 0) return null;
  const frame = jointFrame(joint);
  const start = side === 'below' ? -MARK_DEPTH_MM : -OUT_MM;
  const n = frame.normal;
  const o = frame.origin;
  const origin: Vec3 = [o[0] + start * n[0], o[1] + start * n[1], o[2] + start * n[2]];
  return solids.extrude(loops, { ...frame, origin }, MARK_DEPTH_MM + OUT_MM);
}

export const jointFrame = (joint: Joint): PlaneFrame => ({
  ...planeFrame(joint.plane),
  origin: joint.frame.origin,
  u: joint.frame.u,
  v: joint.frame.v,
});

/** Each stretch of a polyline as an eight-cornered slot with blunt round ends. */
function grooveLoops(line: readonly number[]): Float64Array[] {
  const loops: Float64Array[] = [];
  const r = MARK_GROOVE_MM / 2;
  for (let i = 0; i + 3 < line.length; i += 2) {
    const [x0, y0, x1, y1] = line.slice(i, i + 4) as [number, number, number, number];
    const a = Math.atan2(y1 - y0, x1 - x0);
    const corners: number[] = [];
    for (let k = 0; k < 8; k++) {
      const t = a - Math.PI / 2 + ((k < 4 ? k : k - 1) * Math.PI) / 3;
      const [x, y] = k < 4 ? [x1, y1] : [x0, y0];
      corners.push(x + r * Math.cos(t), y + r * Math.sin(t));
    }
    loops.push(Float64Array.from(corners));
  }
  return loops;
}
