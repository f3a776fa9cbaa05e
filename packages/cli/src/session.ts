import { readdir, realpath, stat } from 'node:fs/promises';
import { basename, extname, join, resolve } from 'node:path';
import { systemReason, UsageError } from './failure.ts';
import type { Io } from './io.ts';
import { shownPath } from './output.ts';

export interface FoundFile {
  /** Absolute path. */
  readonly path: string;
  /** Path as shown to people and written in results, with forward slashes. */
  readonly name: string;
  readonly bytes: number;
}

export interface Found {
  /** Sorted by name, each file once however it was reached. */
  readonly files: readonly FoundFile[];
  /** Folders and links that could not be followed, one line each. */
  readonly troubles: readonly string[];
}

const PART = new Set(['.stl', '.3mf', '.obj']);

/** Whether a file's extension is one of a part's, in any case. */
export const isPartFile = (path: string): boolean => PART.has(extname(path).toLowerCase());

/**
 * The part files named or lying in the named folders, subfolders included. Hidden folders are
 * passed over. A link that leads back to a folder already walked is not followed again.
 * @throws `NO_SUCH_PATH` for a path that is not there, `NO_PARTS` when nothing is found at all
 */
export async function findFiles(io: Io, paths: readonly string[]): Promise<Found> {
  const files = new Map<string, FoundFile>();
  const troubles: string[] = [];
  const walked = new Set<string>();

  const take = async (path: string, bytes: number): Promise<void> => {
    const real = await realpath(path);
    const name = shownPath(io, path).replaceAll('\\', '/');
    if (!files.has(real)) files.set(real, { path, name, bytes });
  };
  const visit = async (path: string, named: boolean): Promise<void> => {
    const info = await stat(path);
    if (info.isFile()) {
      if (named || isPartFile(path)) await take(path, info.size);
      return;
    }
    if (!info.isDirectory()) return;
    const real = await realpath(path);
    if (walked.has(real)) return;
    walked.add(real);
    for (const entry of (await readdir(path)).sort(byName)) {
      if (entry.startsWith('.')) continue;
      try {
        await visit(join(path, entry), false);
      } catch (error) {
        troubles.push(systemReason(error) ?? `${join(path, entry)}: ${(error as Error).message}`);
      }
    }
  };

  for (const given of paths) {
    const path = resolve(io.cwd, given);
    try {
      await stat(path);
    } catch {
      throw new UsageError(`${given}: no such file or folder.`, 'NO_SUCH_PATH');
    }
    try {
      await visit(path, true);
    } catch (error) {
      troubles.push(systemReason(error) ?? `${given}: ${(error as Error).message}`);
    }
  }
  if (!files.size && !troubles.length)
    throw new UsageError(
      `${paths.join(', ')}: no part files here; parts end in .stl, .3mf or .obj.`,
      'NO_PARTS',
    );
  return { files: [...files.values()].sort((a, b) => byName(a.name, b.name)), troubles };
}

/** File order as people read it: part_2 before part_10, the same on every system. */
const collator = new Intl.Collator('en', { numeric: true, sensitivity: 'variant' });
export const byName = (a: string, b: string): number =>
  collator.compare(a, b) || (a < b ? -1 : a > b ? 1 : 0);

/** File name without folder and extension, for outputs named after a part. */
export const stem = (path: string): string => basename(path, extname(path));
