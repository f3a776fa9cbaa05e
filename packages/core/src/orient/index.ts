export * from './settings.ts';
export * from './result.ts';
export { rankOrientations, orientSummary, type OrientOptions, type OrientSummary } from './rank.ts';
export {
  bodyOf as turnableBody,
  TIE_DEG,
  type Body as TurnableBody,
  type CleanFaces,
} from './turned.ts';
export { evaluateSupports, type Supports, type SupportOptions } from './supports.ts';
export { supportTruth, type SupportTruth, type TruthOptions } from './truth.ts';
export { restingFaces, type RestingFace } from './candidates.ts';
export { bedLimit, tipDeg, type BedLimit, type BedOptions } from './steadiness.ts';
export { largestInscribedCircle, type InscribedCircle } from './inscribed.ts';
export { supportSpace, type SupportSpace } from './support-space.ts';
