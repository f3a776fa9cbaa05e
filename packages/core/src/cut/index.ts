export { planJoints, type JointsOptions } from './joints.ts';
export {
  cutPieces,
  VOLUME_TOLERANCE,
  type CutOptions,
  type CutPiece,
  type CutResult,
  type CutVolumes,
} from './pieces.ts';
export { checkPiece, roomOf, COAXIAL_MM, type HoleCheck, type PieceCheck } from './check.ts';
export { planesMesh } from './planes.ts';
export { strokeText } from './strokes.ts';
export { markText } from './tools.ts';
