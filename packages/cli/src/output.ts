import { existsSync, readdirSync } from 'node:fs';
import { mkdir, stat, writeFile } from 'node:fs/promises';
import { dirname, relative, resolve } from 'node:path';
import { UsageError } from './failure.ts';
import type { Io } from './io.ts';

/**
 * Writes whole files or none: to a temporary name beside the target, flushed, then renamed. An
 * existing file stays unless `force` is given.
 * @throws `OUTPUT_EXISTS` naming the file and the way out
 */
export async function writeOutput(
  io: Io,
  path: string,
  data: string | Uint8Array,
  options: { readonly force?: boolean | undefined } = {},
): Promise<void> {
  const target = resolve(io.cwd, path);
  if (!options.force) refuseExisting(io, [path]);
  await mkdir(dirname(target), { recursive: true });
  // A pipe or a device is written to; renaming would put a file in its place.
  const there = await stat(target).catch(() => null);
  if (there && !there.isFile()) return writeFile(target, data);
  const { default: writeFileAtomic } = await import('write-file-atomic');
  await writeFileAtomic(target, typeof data === 'string' ? data : asBuffer(data));
}

/** Checks before long work starts, so that no result is computed that can't be kept. */
export function refuseExisting(io: Io, paths: readonly string[]): void {
  refuse(
    paths
      .filter((path) => !path.startsWith('/dev/') && existsSync(resolve(io.cwd, path)))
      .map((path) => shownPath(io, path)),
  );
}

/** What is written of a split part, after the stem and a part's number. */
const OF_A_SPLIT = /(-\d+)?\.(piece-\d+|pieces|planes|drill|drill-.*|cut-sheet|split)\.[a-z0-9]+$/;

/** The same for a folder that takes the files of several split parts. */
export function refuseSplits(io: Io, folder: string, stems: Iterable<string>): void {
  const there = resolve(io.cwd, folder);
  if (!existsSync(there)) return;
  const own = new Set(stems);
  refuse(
    readdirSync(there)
      .filter((name) => OF_A_SPLIT.test(name) && own.has(name.replace(OF_A_SPLIT, '')))
      .map((name) => shownPath(io, `${folder}/${name}`)),
  );
}

function refuse(taken: readonly string[]): void {
  if (!taken.length) return;
  const many = taken.length > 1;
  const names =
    taken.length > 4 ? `${taken[0] ?? ''} and ${taken.length - 1} more` : taken.join(', ');
  throw new UsageError(
    `${names} ${many ? 'exist' : 'exists'} already; give --force to replace ${many ? 'them' : 'it'}.`,
    'OUTPUT_EXISTS',
  );
}

/** A path as people want to see it: relative when it lies below the current folder. */
export function shownPath(io: Io, path: string): string {
  const near = relative(io.cwd, resolve(io.cwd, path));
  return near === '' ? '.' : near.startsWith('..') ? path : near;
}

const asBuffer = (bytes: Uint8Array): Buffer =>
  Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
