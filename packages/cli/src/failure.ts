import { EXIT } from './io.ts';

/**
 * What `ScantlingError` of the core looks like. It is told by name, not by class, so that a command
 * that fails early has not loaded the whole library.
 */
interface Known extends Error {
  readonly code: string;
  readonly line: string;
}

export const isKnown = (error: unknown): error is Known =>
  error instanceof Error && error.name === 'ScantlingError' && 'line' in error;

/** Codes that say "the request is wrong", not "a part is". */
const USAGE = /^(USAGE|ENVELOPE|WORKSHOP|OUTPUT|NO_SUCH|NO_PARTS|KIT|LOG)/;

/** A wrong request, found by the command itself. */
export class UsageError extends Error {
  readonly code: string;
  readonly line: string;
  constructor(message: string, code = 'USAGE') {
    super(message);
    this.name = 'ScantlingError';
    this.code = code;
    this.line = message;
  }
}

const system: Readonly<Record<string, string>> = {
  ENOENT: 'no such file or folder',
  EACCES: 'no permission',
  EPERM: 'not permitted',
  EISDIR: 'is a folder',
  ENOTDIR: 'is not a folder',
  ENOSPC: 'no space left on the disk',
  ELOOP: 'the links go in a circle',
  EROFS: 'the disk is read-only',
};

/** One line for people; a bug of ours keeps its stack. */
export function explain(error: unknown): string {
  if (isKnown(error)) return error.line;
  const reason = systemReason(error);
  if (reason) return reason;
  const stack = error instanceof Error ? (error.stack ?? error.message) : String(error);
  return `this is a fault in scantling itself, not in your files. Please report it with these lines:\n${stack}`;
}

/** "path: no permission" for an error of the operating system, else null. */
export function systemReason(error: unknown): string | null {
  const { code, path } = error as NodeJS.ErrnoException;
  const words = typeof code === 'string' ? system[code] : undefined;
  return words ? `${path ? `${path}: ` : ''}${words}.` : null;
}

export function exitCodeOf(error: unknown): number {
  if (isKnown(error)) {
    if (error.code === 'CANCELLED') return EXIT.interrupted;
    return USAGE.test(error.code) ? EXIT.usage : EXIT.incomplete;
  }
  return systemReason(error) ? EXIT.usage : EXIT.fault;
}
