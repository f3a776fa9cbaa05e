import { createHash } from 'node:crypto';
import { closeSync, openSync, readSync } from 'node:fs';
import { mkdir, readdir, readFile, rename, rm, stat, utimes, writeFile } from 'node:fs/promises';
import { homedir } from 'node:os';
import { isAbsolute, join } from 'node:path';

/** Entries are small; this many bytes hold the scans of some ten thousand parts. */
export const CACHE_BYTES = 64e6;
/** A temporary file older than this was left by a run that was killed. */
const STALE_MS = 3600e3;

/** The user's folder for regenerable files (XDG Base Directory Specification), ours below it. */
export function cacheFolder(env: Readonly<Record<string, string | undefined>>): string {
  const xdg = env['XDG_CACHE_HOME'];
  // The specification: a path that is not absolute is invalid and to be ignored.
  const base = xdg && isAbsolute(xdg) ? xdg : join(env['HOME'] ?? homedir(), '.cache');
  return join(base, 'scantling');
}

/** Key of one answer: what was asked, and of which bytes. */
export const cacheKey = (contentSha256: string, settings: unknown): string =>
  createHash('sha256')
    .update(JSON.stringify([contentSha256, settings]))
    .digest('hex');

/** SHA-256 of a file's bytes, read in pieces into `chunk`. */
export function contentHash(path: string, chunk = new Uint8Array(1 << 20)): string {
  const hash = createHash('sha256');
  const file = openSync(path, 'r');
  try {
    for (;;) {
      const length = readSync(file, chunk, 0, chunk.length, null);
      if (length === 0) return hash.digest('hex');
      hash.update(chunk.subarray(0, length));
    }
  } finally {
    closeSync(file);
  }
}

interface Entry {
  readonly key: string;
  readonly value: unknown;
}

const fileOf = (folder: string, key: string): string =>
  join(folder, key.slice(0, 2), `${key}.json`);

/** The kept value, or undefined; a damaged or half-written entry counts as none. */
export async function readCache(folder: string, key: string): Promise<unknown> {
  const file = fileOf(folder, key);
  try {
    const entry = JSON.parse(await readFile(file, 'utf8')) as Entry;
    if (entry.key !== key) return undefined;
    const now = new Date();
    // The sweep drops what was used longest ago.
    await utimes(file, now, now).catch(() => undefined);
    return entry.value;
  } catch {
    return undefined;
  }
}

/**
 * Keeps a value. Written to a name of its own and renamed, so that another run sees all or nothing.
 * A cache that can't be written is no failure of the run.
 */
export async function writeCache(folder: string, key: string, value: unknown): Promise<void> {
  const file = fileOf(folder, key);
  const temporary = `${file}.${process.pid}.${Math.round(performance.now() * 1e3)}.tmp`;
  try {
    await mkdir(join(file, '..'), { recursive: true });
    await writeFile(temporary, JSON.stringify({ key, value } satisfies Entry));
    await rename(temporary, file);
  } catch {
    await rm(temporary, { force: true }).catch(() => undefined);
  }
}

/** The kept answer, else a fresh one, which is kept then; without a folder always a fresh one. */
export async function keptOr<T>(
  folder: string | null,
  key: () => string,
  make: () => Promise<T>,
): Promise<T> {
  if (folder === null) return make();
  const name = key();
  const kept = (await readCache(folder, name)) as T | undefined;
  if (kept !== undefined) return kept;
  const made = await make();
  await writeCache(folder, name, made);
  return made;
}

/** Brings the cache below its bound, least recently used first; other runs may do so meanwhile. */
export async function sweepCache(folder: string, bound = CACHE_BYTES): Promise<void> {
  const files: { path: string; bytes: number; usedMs: number }[] = [];
  const names = await readdir(folder, { recursive: true }).catch(() => [] as string[]);
  for (const name of names) {
    const path = join(folder, name);
    const info = await stat(path).catch(() => null);
    if (!info?.isFile()) continue;
    if (name.endsWith('.tmp') && Date.now() - info.mtimeMs > STALE_MS)
      await rm(path, { force: true }).catch(() => undefined);
    else files.push({ path, bytes: info.size, usedMs: info.mtimeMs });
  }
  let total = files.reduce((sum, file) => sum + file.bytes, 0);
  if (total <= bound) return;
  // Down to three quarters, so that the next run does not sweep again at once.
  for (const file of files.sort((a, b) => a.usedMs - b.usedMs)) {
    if (total <= 0.75 * bound) break;
    await rm(file.path, { force: true }).catch(() => undefined);
    total -= file.bytes;
  }
}
