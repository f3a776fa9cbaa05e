export * from './types.ts';
export { decideFit, fitAny, fitPart, placeInYaw, DEFAULT_PRECISION, type FitBody } from './fit.ts';
export { meanWidth, longestLine, piecesAtLeast } from './pieces-bound.ts';
export { freeSpaceOf, type FreeSpace } from './free-space.ts';
export { AMPLE_SCALE, COARSE_PRECISION, TOUCH } from './rotation-search.ts';
export { smallestCircle, type Circle } from './plan-fit.ts';
export { bestYaw } from './yaw.ts';
export type { Body } from './place.ts';
