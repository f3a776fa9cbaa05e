export { writeBinaryStl } from './stl.ts';
export { write3mf, type NamedMesh, type ThreeMfOptions } from './threemf.ts';
export { misread, pieceFiles, type PieceBody, type PieceFile, type PieceFiles, type ReadBack } from './pieces.ts'; // prettier-ignore
