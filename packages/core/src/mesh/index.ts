export * from './mesh.ts';
export * from './transform.ts';
export * from './solids.ts';
