export { loadKernel } from './kernel.ts';
export type { Kernel, KernelOptions, Solid, Solids } from './kernel.ts';
export type { Corner, FlatKernel, Loops } from './flat.ts';
