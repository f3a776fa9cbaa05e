export * from './types.ts';
export { createReadBuffers, type ReadBuffers } from './facetWelder.ts';
export { sniff, SNIFF_BYTES, type Content } from './sniff.ts';
export { stlReader } from './stl.ts';
export { objReader } from './obj.ts';
export { readThreeMf } from './threemf.ts';
export { ZIP_LIMITS, type ZipLimits } from './zip.ts';
export { readParts, named } from './parts.ts';
export * from './unitDoubt.ts';
