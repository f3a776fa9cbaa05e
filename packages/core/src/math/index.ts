export * from './axes.ts';
export * from './vec3.ts';
export * from './rotation.ts';
export * from './random.ts';
export * from './sum.ts';
