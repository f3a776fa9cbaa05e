import { ScantlingError } from '../errors.ts';

/** Longest run of text without a break that is still taken for text. */
const LONGEST_WORD = 1 << 20;

/**
 * Cuts a stream of text chunks at breaks, so that a parser working on bytes never sees half a
 * word (or half a line). What follows the last break waits for the next chunk.
 */
export class TextCutter {
  private work = new Uint8Array(0);
  private length = 0;
  private readonly isBreak: (byte: number) => boolean;
  private readonly parse: (bytes: Uint8Array, end: number) => void;

  constructor(isBreak: (byte: number) => boolean, parse: (bytes: Uint8Array, end: number) => void) {
    this.isBreak = isBreak;
    this.parse = parse;
  }

  push(chunk: Uint8Array): void {
    const total = this.length + chunk.length;
    if (total > this.work.length) {
      const grown = new Uint8Array(Math.max(total + 64, Math.min(2 * this.work.length, 1 << 22)));
      grown.set(this.work.subarray(0, this.length));
      this.work = grown;
    }
    this.work.set(chunk, this.length);
    let end = total;
    while (end > 0 && !this.isBreak(this.work[end - 1] as number)) end--;
    if (end > 0) this.parse(this.work, end);
    this.work.copyWithin(0, end, total);
    this.length = total - end;
    if (this.length > LONGEST_WORD)
      throw new ScantlingError('NOT_A_MESH', 'The text has no breaks where a mesh file has them.', {
        remedy: 'Check what kind of file this is.',
      });
  }

  finish(): void {
    // A parser may look one byte past a word: let it see a break there.
    const last = this.work.slice(0, this.length + 1);
    last[this.length] = 10;
    this.length = 0;
    this.parse(last, last.length);
  }
}
