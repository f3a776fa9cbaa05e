import { readdirSync, realpathSync, statSync } from 'node:fs';
import { join } from 'node:path';
import type { ScantlingError } from '../errors.ts';
import { systemError } from './files.ts';

/** Endings looked for in folders, in any case. A file given by name is read whatever its ending. */
export const PART_ENDINGS = ['.stl', '.3mf', '.obj'] as const;

export interface FoundFiles {
  /** Paths as given or joined to the folder given; sorted within each folder, each file once. */
  readonly files: readonly string[];
  /** Folders and paths that could not be looked into; the rest is found all the same. */
  readonly problems: readonly ScantlingError[];
}

/**
 * The part files under the paths given, subfolders included, in the same order on every system
 * (by code point, files of a folder before its subfolders). Links are followed; a link back into
 * a folder already seen is passed over, so circles end. Names that begin with a dot are left out.
 */
export function findPartFiles(paths: readonly string[]): FoundFiles {
  const files: string[] = [];
  const problems: ScantlingError[] = [];
  const seenFolders = new Set<string>();
  const seenFiles = new Set<string>();
  const attempt = (path: string, look: () => void): void => {
    try {
      look();
    } catch (error) {
      problems.push(systemError(error).inFile(path));
    }
  };
  const takeFile = (path: string): void => {
    const real = realpathSync(path);
    if (seenFiles.has(real)) return;
    seenFiles.add(real);
    files.push(path);
  };
  const walk = (folder: string): void => {
    const real = realpathSync(folder);
    if (seenFolders.has(real)) return;
    seenFolders.add(real);
    const subfolders: string[] = [];
    for (const name of readdirSync(folder).sort(byCodePoint)) {
      if (name.startsWith('.')) continue;
      const path = join(folder, name);
      attempt(path, () => {
        const isPart = PART_ENDINGS.some((ending) => name.toLowerCase().endsWith(ending));
        const stat = statSync(path, { throwIfNoEntry: isPart });
        if (stat?.isDirectory()) subfolders.push(path);
        else if (isPart) takeFile(path);
      });
    }
    for (const path of subfolders) attempt(path, () => walk(path));
  };
  for (const path of paths)
    attempt(path, () => {
      if (statSync(path).isDirectory()) walk(path);
      else takeFile(path);
    });
  return { files, problems };
}

const byCodePoint = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);
