import { existsSync } from 'node:fs';
import { mkdir } from 'node:fs/promises';
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
  const { default: writeFileAtomic } = await import('write-file-atomic');
  await writeFileAtomic(target, typeof data === 'string' ? data : asBuffer(data));
}

/** Checks before long work starts, so that no result is computed that can't be kept. */
export function refuseExisting(io: Io, paths: readonly string[]): void {
  const taken = paths.filter((path) => existsSync(resolve(io.cwd, path)));
  if (!taken.length) return;
  const names = taken.map((path) => shownPath(io, path)).join(', ');
  throw new UsageError(
    `${names} ${taken.length > 1 ? 'exist' : 'exists'} already; give --force to replace ${taken.length > 1 ? 'them' : 'it'}.`,
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
