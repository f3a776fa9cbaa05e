export * from './joint.ts';
export * from './schema.ts';
export * from './settings.ts';
export * from './stock.ts';
export * from './strength.ts';
export { sideAbove, sideBelow, fromFace, toFace, type HalfSpace } from './frame.ts';
export type { DrilledHole, JointKeepOut, Rod } from './obstacles.ts';
export {
  inscribedCircle,
  insidePatch,
  leastModulus,
  thicknessField,
  type Patch,
  type ThicknessField,
} from './patch.ts';
export { MARK_ADVANCE, MARK_DEPTH_MM, MARK_GROOVE_MM } from './mark.ts';
