import { existsSync, statSync } from 'node:fs';
import { basename, extname, resolve } from 'node:path';
import type { LengthUnit, ReadPart } from '@scantling/core';
import { UsageError } from './failure.ts';
import type { Io } from './io.ts';
import { shownPath } from './output.ts';

export interface FoundFile {
  /** Absolute path. */
  readonly path: string;
  /** Path as shown to people and written in results, with forward slashes. */
  readonly name: string;
  readonly bytes: number;
  /** What a kit says of the numbers in it, where the command line says nothing. */
  readonly unit?: LengthUnit;
}

export interface Found {
  /** Sorted by name, each file once however it was reached. */
  readonly files: readonly FoundFile[];
  /** Folders and links that could not be followed, one line each. */
  readonly troubles: readonly string[];
}

const nameOf = (io: Io, path: string): string => shownPath(io, path).replaceAll('\\', '/');

/**
 * The part files named or lying in the named folders, subfolders included.
 * @throws `NO_SUCH_PATH` for a path that is not there, `NO_PARTS` when nothing is found at all
 */
export async function findFiles(io: Io, paths: readonly string[]): Promise<Found> {
  const { findPartFiles } = await import('@scantling/core/node');
  const absolute = paths.map((path) => resolve(io.cwd, path));
  const gone = paths.find((_, i) => !existsSync(absolute[i] as string));
  if (gone !== undefined) throw new UsageError(`${gone}: no such file or folder.`, 'NO_SUCH_PATH');

  const { files, problems } = findPartFiles(absolute);
  if (!files.length && !problems.length)
    throw new UsageError(
      `${paths.join(', ')}: no part files here; parts end in .stl, .3mf or .obj.`,
      'NO_PARTS',
    );
  return {
    files: files
      .map((path) => ({ path, name: nameOf(io, path), bytes: statSync(path).size }))
      .sort((a, b) => byName(a.name, b.name)),
    troubles: problems.map((error) => error.inFile(nameOf(io, error.file ?? '')).line),
  };
}

/** The parts of one file, in arrays of their own; the unit told goes before the file's. @throws ScantlingError that names the file */
export async function loadParts(
  file: FoundFile,
  options: { readonly unit?: LengthUnit | undefined } = {},
): Promise<ReadPart[]> {
  const { readPartsFromFile } = await import('@scantling/core/node');
  const unit = options.unit ?? file.unit;
  return readPartsFromFile(file.path, { name: file.name, ...(unit && { unit }) });
}

/** File order as people read it: part_2 before part_10, the same on every system. */
const collator = new Intl.Collator('en', { numeric: true, sensitivity: 'variant' });
export const byName = (a: string, b: string): number =>
  collator.compare(a, b) || (a < b ? -1 : a > b ? 1 : 0);

/** File name without folder and extension, for outputs named after a part. */
export const stem = (path: string): string => basename(path, extname(path));

/**
 * What outputs of each file are named after: its stem, or, where another file has the same (on a
 * disk that does not tell case apart as well), its folders and stem, and in the end a number.
 */
export function outputStems(names: readonly string[]): ReadonlyMap<string, string> {
  const same = (a: string): string => a.normalize('NFC').toLowerCase();
  const times = new Map<string, number>();
  for (const name of names) times.set(same(stem(name)), (times.get(same(stem(name))) ?? 0) + 1);
  const taken = new Set<string>();
  const stems = new Map<string, string>();
  for (const name of names) {
    const alone = times.get(same(stem(name))) === 1;
    const long = name.slice(0, name.length - extname(name).length).replace(/^[./]+/, '').replaceAll('/', '-'); // prettier-ignore
    const base = alone ? stem(name) : long;
    let own = base;
    for (let k = 2; taken.has(same(own)); k++) own = `${base}-${k}`;
    taken.add(same(own));
    stems.set(name, own);
  }
  return stems;
}
