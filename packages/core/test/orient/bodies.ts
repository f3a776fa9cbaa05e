import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { seededRandom, unit, type Vec3 } from '../../src/math/index.ts';
import type { Mesh } from '../../src/mesh/index.ts';
import { readParts } from '../../src/read/index.ts';

/** A general-purpose set of STL files (npm, stl-models); the bunny is the Stanford scan in metres. */
export function model(name: string): Mesh {
  const path = createRequire(import.meta.url).resolve(`stl-models/objects/${name}`);
  const [part] = readParts(new Uint8Array(readFileSync(path)), { name });
  if (!part) throw new Error(`${name} holds no part`);
  return part.mesh;
}

/** A part of the Lamplighter, in mm. */
export function fixture(name: string): Mesh {
  const path = new URL(`../../../../fixtures/lamplighter/${name}.stl`, import.meta.url);
  const [part] = readParts(new Uint8Array(readFileSync(path)), { name });
  if (!part) throw new Error(`${name} holds no part`);
  return part.mesh;
}

/** Directions spread evenly at random over the ball, seeded. */
export function directions(seed: number, count: number): Vec3[] {
  const random = seededRandom(seed);
  const out: Vec3[] = [];
  while (out.length < count) {
    const z = 2 * random() - 1;
    const a = 2 * Math.PI * random();
    const r = Math.sqrt(1 - z * z);
    const v = unit([r * Math.cos(a), r * Math.sin(a), z]);
    if (v) out.push(v);
  }
  return out;
}
