export * from './types.ts';
export { convexHull, extremeCandidates, type ExtremeCandidates } from './convex-hull.ts';
export { planarHull } from './flat-hull.ts';
export * from './polygon.ts';
