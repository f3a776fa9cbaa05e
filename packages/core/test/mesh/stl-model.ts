import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { STLLoader } from 'three/addons/loaders/STLLoader.js';
import type { Mesh } from '../../src/mesh/index.ts';

const folder = dirname(createRequire(import.meta.url).resolve('stl-models/package.json'));

/** A mesh of the npm package stl-models, read by three's loader and welded exactly by a map. */
export function stlModel(path: string): Mesh {
  const bytes = readFileSync(join(folder, path));
  const { array } = new STLLoader().parse(
    bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength),
  ).attributes.position as { array: ArrayLike<number> };
  const known = new Map<string, number>();
  const positions: number[] = [];
  const triangles = new Uint32Array(array.length / 3);
  for (let i = 0; i < triangles.length; i++) {
    const p = [0, 1, 2].map((k) => (array[3 * i + k] as number) + 0);
    const key = p.join(' ');
    let index = known.get(key);
    if (index === undefined) {
      index = positions.length / 3;
      known.set(key, index);
      positions.push(...p);
    }
    triangles[i] = index;
  }
  return { positions: Float64Array.from(positions), triangles };
}
