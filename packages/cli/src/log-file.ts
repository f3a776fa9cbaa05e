import { closeSync, existsSync, fstatSync, fsyncSync, openSync, readFileSync, readSync, statSync, unlinkSync, writeSync } from 'node:fs'; // prettier-ignore
import { dirname } from 'node:path';
import type { LogEntry } from '@scantling/core';
import { UsageError } from './failure.ts';

/** A lock older than this was left behind by a writer that died. */
const STALE_MS = 20_000;
const WAIT_MS = 10_000;

/**
 * Adds one entry to the log, safely: under a lock file, so that two writers never mix lines; in one
 * write at the end of the file, flushed to the disk before it counts, and with the folder flushed
 * for a new file. A last line torn by a power cut is ended first, so that it spoils nothing.
 * `check` sees the whole log under the lock and may refuse by throwing.
 * @throws `LOG_LOCKED` when another writer holds the lock for 10 s
 */
export async function appendLog(
  path: string,
  entry: LogEntry,
  check: (text: string) => void,
): Promise<void> {
  const { logLine } = await import('@scantling/core');
  const lock = `${path}.lock`;
  await take(lock);
  try {
    const fresh = !existsSync(path);
    check(fresh ? '' : readFileSync(path, 'utf8'));
    const file = openSync(path, 'a+');
    try {
      const size = fstatSync(file).size;
      const last = new Uint8Array(1);
      if (size > 0) readSync(file, last, 0, 1, size - 1);
      const torn = size > 0 && last[0] !== 0x0a;
      const bytes = new TextEncoder().encode((torn ? '\n' : '') + logLine(entry));
      for (let at = 0; at < bytes.length;) at += writeSync(file, bytes, at);
      fsyncSync(file);
    } finally {
      closeSync(file);
    }
    if (fresh) flushFolder(dirname(path));
  } finally {
    unlinkSync(lock);
  }
}

async function take(lock: string): Promise<void> {
  const until = performance.now() + WAIT_MS;
  for (;;) {
    try {
      closeSync(openSync(lock, 'wx'));
      return;
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
    }
    try {
      if (Date.now() - statSync(lock).mtimeMs > STALE_MS) unlinkSync(lock);
    } catch {
      // Its owner was faster.
    }
    if (performance.now() > until)
      throw new UsageError(`${lock}: another writer holds the log; if none runs, delete this file.`, 'LOG_LOCKED'); // prettier-ignore
    await new Promise((wake) => setTimeout(wake, 15 + 30 * Math.random()));
  }
}

/** The name of a new file is safe only when its folder is; not every system can flush folders. */
function flushFolder(folder: string): void {
  try {
    const handle = openSync(folder, 'r');
    fsyncSync(handle);
    closeSync(handle);
  } catch {
    // Windows refuses; its file system logs names by itself.
  }
}
