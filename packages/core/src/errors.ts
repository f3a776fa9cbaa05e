/**
 * The one error type of the library. Three kinds of trouble are kept apart: wrong input throws
 * this; a poor part is a finding in a result and throws nothing; a bug throws anything else.
 */

/** Where in a file something is wrong. Bytes count from 0, lines and columns from 1. */
export interface Position {
  readonly byte?: number;
  readonly line?: number;
  readonly column?: number;
}

export interface ErrorDetail {
  /** File name as the user gave it; the library never opens it. */
  readonly file?: string;
  readonly at?: Position;
  /** What the reader of the message can do now, one sentence. */
  readonly remedy?: string;
}

/** Wrong input. `code` is fixed and documented; `message` is for people and may change. */
export class ScantlingError extends Error {
  readonly code: string;
  readonly file: string | undefined;
  readonly at: Position | undefined;
  readonly remedy: string | undefined;

  constructor(code: string, message: string, detail: ErrorDetail = {}) {
    super(message);
    this.name = 'ScantlingError';
    this.code = code;
    this.file = detail.file;
    this.at = detail.at;
    this.remedy = detail.remedy;
  }

  /** The same error with the file's name filled in, for callers that know it. */
  inFile(file: string): ScantlingError {
    return new ScantlingError(this.code, this.message, {
      file,
      ...(this.at && { at: this.at }),
      ...(this.remedy !== undefined && { remedy: this.remedy }),
    });
  }

  /** One line: file, place, what is wrong, what to do. */
  get line(): string {
    const place = describePosition(this.at);
    const head = [this.file, place].filter(Boolean).join(', ');
    return `${head ? `${head}: ` : ''}${this.message}${this.remedy ? ` ${this.remedy}` : ''}`;
  }
}

export function describePosition(at: Position | undefined): string {
  if (!at) return '';
  if (at.line !== undefined)
    return at.column === undefined ? `line ${at.line}` : `line ${at.line}, column ${at.column}`;
  return at.byte === undefined ? '' : `byte ${at.byte}`;
}
