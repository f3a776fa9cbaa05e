export { writeBinaryStl } from './stl.ts';
export { write3mf, type NamedMesh, type ThreeMfOptions } from './threemf.ts';
export {
  pieceFiles,
  PIECES_LEVEL,
  READ_BACK_TOLERANCE,
  readBackStl,
  type PieceFile,
  type PieceFiles,
  type PieceFilesOptions,
  type ReadBack,
} from './pieces.ts';
