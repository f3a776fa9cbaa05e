export { writeBinaryStl } from './stl.ts';
export { write3mf, type NamedMesh, type ThreeMfOptions } from './threemf.ts';
