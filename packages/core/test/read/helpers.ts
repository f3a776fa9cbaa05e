import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { ScantlingError, triangleCount, type Mesh } from '../../src/index.ts';

/** A file of the development package `stl-models` (test meshes of an unrelated project). */
export const stlModel = (path: string): Uint8Array =>
  new Uint8Array(
    readFileSync(
      fileURLToPath(new URL(`../../../../node_modules/stl-models/${path}`, import.meta.url)),
    ),
  );

export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

/** The error a call throws; the test fails if it throws none, or one of another kind. */
export function errorOf(run: () => unknown): ScantlingError {
  try {
    run();
  } catch (error) {
    if (error instanceof ScantlingError) return error;
    throw error;
  }
  throw new Error('nothing was thrown');
}

/** Six times the volume about the origin, by the divergence theorem. */
export function volumeOf(mesh: Mesh): number {
  const p = mesh.positions;
  const t = mesh.triangles;
  let sum = 0;
  for (let f = 0; f < 3 * triangleCount(mesh); f += 3) {
    const [a, b, c] = [3 * t[f]!, 3 * t[f + 1]!, 3 * t[f + 2]!];
    sum +=
      p[a]! * (p[b + 1]! * p[c + 2]! - p[b + 2]! * p[c + 1]!) -
      p[a + 1]! * (p[b]! * p[c + 2]! - p[b + 2]! * p[c]!) +
      p[a + 2]! * (p[b]! * p[c + 1]! - p[b + 1]! * p[c]!);
  }
  return sum / 6;
}

/** The three corners of each facet as nine numbers, in file order: what a reader without weld sees. */
export function soupOf(mesh: Mesh): Float64Array {
  const soup = new Float64Array(3 * mesh.triangles.length);
  mesh.triangles.forEach((v, i) => soup.set(mesh.positions.subarray(3 * v, 3 * v + 3), 3 * i));
  return soup;
}

/** Bit by bit, without the slow walk of a deep comparison. */
export const sameMesh = (a: Mesh, b: Mesh): boolean =>
  a.positions.length === b.positions.length &&
  a.triangles.length === b.triangles.length &&
  a.positions.every((x, i) => x === b.positions[i]) &&
  a.triangles.every((v, i) => v === b.triangles[i]);
