import { closeSync, fstatSync, openSync, readSync, statSync } from 'node:fs';
import { checkCancelled } from '../context.ts';
import { ScantlingError } from '../errors.ts';
import {
  named,
  objReader,
  readThreeMf,
  sniff,
  SNIFF_BYTES,
  stlReader,
  type ReadOptions,
  type ReadPart,
} from '../read/index.ts';

/** Bytes per read: large enough to be fast, small enough to stay in the second-level cache. */
const CHUNK_BYTES = 1 << 17;
/** 3MF packages are read whole; a larger one is refused. */
export const MOST_PACKAGE_BYTES = 2 ** 30;

let keptChunk: Uint8Array | undefined;

/**
 * The parts in a file. STL and OBJ are read in chunks into one kept buffer, so that a file may be
 * larger than memory would hold as text; 3MF is read whole. Blocks its thread: long lists belong in
 * a worker, with one set of `buffers` per worker.
 * @param options as for `readParts`; `name` defaults to the path
 * @throws ScantlingError as `readParts`, and `UNREADABLE_FILE` where the system refuses
 */
export function readPartsFromFile(
  path: string,
  options: Omit<ReadOptions, 'totalBytes'> = {},
): ReadPart[] {
  const name = options.name ?? path;
  return named(name, () => {
    // Asked before opening: opening a pipe would wait for a writer.
    if (!system(() => statSync(path)).isFile())
      throw new ScantlingError('UNREADABLE_FILE', 'This is not a regular file.', {
        remedy: 'Give a file, or a folder to look through.',
      });
    const file = system(() => openSync(path, 'r'));
    try {
      return readOpen(file, { ...options, name });
    } finally {
      closeSync(file);
    }
  });
}

function readOpen(file: number, options: ReadOptions): ReadPart[] {
  const totalBytes = system(() => fstatSync(file)).size;
  const whole: ReadOptions = { ...options, totalBytes };
  const chunk = (keptChunk ??= new Uint8Array(CHUNK_BYTES));
  let length = fill(file, chunk);
  const content = sniff(chunk.subarray(0, Math.min(length, SNIFF_BYTES)), totalBytes, options.name);
  if (content === 'zip') return readThreeMf(readWhole(file, totalBytes), whole);
  const reader = content === 'obj' ? objReader(whole) : stlReader(whole);
  let done = 0;
  while (length > 0) {
    checkCancelled(options.context);
    reader.push(chunk.subarray(0, length));
    done += length;
    options.context?.progress?.(Math.min(1, done / totalBytes), 'read');
    length = fill(file, chunk);
  }
  return reader.finish();
}

/** As many bytes as the file still gives, up to the chunk's length. */
function fill(file: number, chunk: Uint8Array): number {
  let length = 0;
  while (length < chunk.length) {
    const got = system(() => readSync(file, chunk, length, chunk.length - length, null));
    if (got === 0) break;
    length += got;
  }
  return length;
}

function readWhole(file: number, totalBytes: number): Uint8Array {
  if (totalBytes > MOST_PACKAGE_BYTES)
    throw new ScantlingError('TOO_LARGE', `A package of ${totalBytes} bytes; up to ${MOST_PACKAGE_BYTES} are read.`, { remedy: 'Save its parts as separate files.' }); // prettier-ignore
  const bytes = new Uint8Array(totalBytes);
  let length = 0;
  while (length < totalBytes) {
    const got = system(() => readSync(file, bytes, length, totalBytes - length, length));
    if (got === 0) break;
    length += got;
  }
  return bytes.subarray(0, length);
}

/** Runs a call to the system and turns its refusal into an error for people. */
export function system<T>(call: () => T): T {
  try {
    return call();
  } catch (error) {
    throw systemError(error);
  }
}

const REASONS: Readonly<Record<string, readonly [string, string]>> = {
  ENOENT: ['There is no such file.', 'Check the path.'],
  EACCES: ['You may not read this.', 'Check its permissions.'],
  EPERM: ['You may not read this.', 'Check its permissions.'],
  EISDIR: ['This is a folder.', 'Give a file, or scan the folder.'],
  ELOOP: ['This link leads round in a circle.', 'Remove the link.'],
  EMFILE: ['Too many files are open.', 'Use fewer jobs.'],
};

export function systemError(error: unknown): ScantlingError {
  const code = (error as { code?: string }).code ?? '';
  const [message, remedy] = REASONS[code] ?? [
    `The system could not read this (${code || String(error)}).`,
    'Check the disk and the path.',
  ];
  return new ScantlingError('UNREADABLE_FILE', message, { remedy });
}
