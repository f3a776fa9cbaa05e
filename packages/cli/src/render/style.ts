import picocolors from 'picocolors';
import type { Io } from '../io.ts';

/** Colours by meaning. The words always say it too: nothing is told by colour alone. */
export interface Style {
  readonly good: (text: string) => string;
  readonly minor: (text: string) => string;
  readonly warn: (text: string) => string;
  readonly bad: (text: string) => string;
  readonly head: (text: string) => string;
  readonly faint: (text: string) => string;
}

export function styleFor(io: Pick<Io, 'colour'>): Style {
  const c = picocolors.createColors(io.colour);
  return {
    good: c.green,
    minor: c.cyan,
    warn: c.yellow,
    bad: (text) => c.bold(c.red(text)),
    head: c.bold,
    faint: c.dim,
  };
}
