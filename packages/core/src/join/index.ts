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
