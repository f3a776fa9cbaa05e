export * from './types.ts';
export { convexHull } from './convex-hull.ts';
export { planarHull } from './flat-hull.ts';
