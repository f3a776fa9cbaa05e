import type { Io } from '../src/io.ts';

/** An outside of our own: streams kept as text, a fixed clock, no terminal. */
export function testIo(
  change: Partial<Io> = {},
): Io & { readonly out: string; readonly err: string } {
  const kept = { out: '', err: '' };
  return {
    stdout: (text) => void (kept.out += text),
    stderr: (text) => void (kept.err += text),
    cwd: '/',
    env: {},
    columns: null,
    interactive: false,
    colour: false,
    signal: new AbortController().signal,
    now: () => new Date('2026-01-02T03:04:05Z'),
    ...change,
    get out() {
      return kept.out;
    },
    get err() {
      return kept.err;
    },
  };
}
