export { writeBinaryStl } from './stl.ts';
export { write3mf, type NamedMesh, type ThreeMfOptions } from './threemf.ts';
export { pieceFiles, type PieceFile, type PieceFiles, type PieceFilesOptions } from './pieces.ts';
