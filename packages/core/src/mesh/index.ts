export * from './mesh.ts';
export * from './transform.ts';
export * from './solids.ts';
export * from './measure.ts';
export * from './adjacency.ts';
export * from './plane.ts';
