import { objReader } from './obj.ts';
import { sniff, SNIFF_BYTES } from './sniff.ts';
import { stlReader } from './stl.ts';
import { readThreeMf } from './threemf.ts';
import { ScantlingError } from '../errors.ts';
import type { ReadOptions, ReadPart } from './types.ts';

/**
 * The parts in a file's bytes, whatever the format: binary or ASCII STL and OBJ give one part, 3MF
 * one per build item. The content decides, not the name.
 * @returns meshes in mm, vertices welded exactly; see `ReadPart`
 * @throws ScantlingError with a code, the place, a remedy, and `options.name` as its file; the
 * readers' docstrings list the codes
 * @example readParts(bytes, { name: 'boot.stl' })[0].mesh
 */
export function readParts(bytes: Uint8Array, options: ReadOptions = {}): ReadPart[] {
  const whole = { ...options, totalBytes: bytes.length };
  return named(options.name, () => {
    const content = sniff(bytes.subarray(0, SNIFF_BYTES), bytes.length, options.name);
    if (content === 'zip') return readThreeMf(bytes, whole);
    const reader = content === 'obj' ? objReader(whole) : stlReader(whole);
    reader.push(bytes);
    return reader.finish();
  });
}

/** Runs `read` and puts the file's name into any error of wrong input. */
export function named<T>(file: string | undefined, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (error instanceof ScantlingError && file !== undefined && error.file === undefined)
      throw error.inFile(file);
    throw error;
  }
}
