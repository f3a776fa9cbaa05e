/** The public face of the library: named exports only; runs in a browser as in Node. */
export * from './errors.ts';
export * from './units.ts';
export * from './context.ts';
export * from './math/index.ts';
export * from './mesh/index.ts';
export * from './envelope/index.ts';
export * from './workshop/index.ts';
export { convexHull, extremeCandidates, planarHull, type Convex, type ExtremeCandidates, type Hull, type Vec2 } from './hull/index.ts'; // prettier-ignore
export * from './fit/index.ts';
export * from './read/index.ts';
export * from './write/index.ts';
export * from './inspect/index.ts';
export * from './report/index.ts';
export * from './orient/index.ts';
export * from './join/index.ts';
export * from './split/index.ts';
export * from './cut/index.ts';
export * from './estimate/index.ts';
export * from './kit/index.ts';
export * from './schedule/index.ts';
export * from './draw/index.ts';
export * from './stand/index.ts';
export * from './salvage/index.ts';
