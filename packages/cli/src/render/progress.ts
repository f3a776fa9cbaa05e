import type { Io } from '../io.ts';
import { shorten } from './table.ts';

export interface Progress {
  /** One more of them done; `word` says what came of the last. */
  step: (word: string) => void;
  /** Takes the bar away. */
  end: () => void;
}

const BAR = 24;
/** Not more often than this: a slow terminal must not slow the work. */
const EVERY_MS = 60;

/** A bar on stderr while work goes on; nothing at all where stderr is not a terminal. */
export function progressBar(io: Io, total: number, verb: string): Progress {
  if (!io.interactive || total < 1) return { step: () => undefined, end: () => undefined };
  let done = 0;
  let last = '';
  let drawnMs = -Infinity;
  const width = (io.columns ?? 80) - 1;
  const draw = (): void => {
    drawnMs = performance.now();
    const full = Math.round((BAR * done) / total);
    const head = `${verb} [${'#'.repeat(full)}${'.'.repeat(BAR - full)}] ${done}/${total}`;
    io.stderr(`\r${shorten(last ? `${head}  ${last}` : head, width).padEnd(width)}`);
  };
  draw();
  return {
    step: (word) => {
      done++;
      last = word;
      if (done === total || performance.now() - drawnMs >= EVERY_MS) draw();
    },
    end: () => io.stderr(`\r${' '.repeat(width)}\r`),
  };
}
