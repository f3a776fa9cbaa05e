import { z } from 'zod';
import { ScantlingError } from '../errors.ts';

/**
 * The print log: one JSON object per line, only ever added to. Core parses and writes lines; the
 * file itself, its lock and its flushing belong to whoever calls.
 */
export const logEntrySchema = z.strictObject({
  event: z.enum(['start', 'done', 'failed']).describe('What happened'),
  piece: z.string().min(1).describe('Piece by its name in the kit; copies as name#2, name#3'),
  at: z.iso.datetime({ offset: true }).describe('When, ISO 8601 with offset'),
  machine: z.string().optional().describe('On which machine'),
  grams: z.number().nonnegative().optional().describe('Filament used, g, as weighed'),
  note: z.string().optional().describe('Anything worth knowing later'),
});
export type LogEntry = z.infer<typeof logEntrySchema>;

export interface ParsedLog {
  readonly entries: readonly LogEntry[];
  /** Lines that are no entry: a line torn by a power cut, or damage. Lines count from 1. */
  readonly damaged: readonly {
    readonly line: number;
    readonly text: string;
    readonly why: string;
  }[];
  /** The last line has no line end: a writer must end it before it adds its own. */
  readonly torn: boolean;
}

/** Reads a whole log. Nothing throws: a damaged line is named and passed over. */
export function parseLog(text: string): ParsedLog {
  const entries: LogEntry[] = [];
  const damaged: { line: number; text: string; why: string }[] = [];
  text.split('\n').forEach((raw, i) => {
    const line = raw.trim();
    if (line === '') return;
    const say = (why: string): void => void damaged.push({ line: i + 1, text: line.slice(0, 200), why }); // prettier-ignore
    let value: unknown;
    try {
      value = JSON.parse(line);
    } catch {
      say('not a whole JSON object');
      return;
    }
    const read = logEntrySchema.safeParse(value);
    if (read.success) entries.push(read.data);
    else say(read.error.issues[0]?.message ?? 'not a log entry');
  });
  return { entries, damaged, torn: text !== '' && !text.endsWith('\n') };
}

/** One entry as a line with its line end; line breaks inside notes stay escaped. */
export const logLine = (entry: LogEntry): string =>
  `${JSON.stringify(logEntrySchema.parse(entry))}\n`;

/** One try at printing a piece. */
export interface Attempt {
  readonly piece: string;
  readonly machine: string | null;
  readonly startS: number | null;
  /** Null while it prints. */
  readonly endS: number | null;
  readonly state: 'printing' | 'done' | 'failed';
  readonly grams: number | null;
  readonly notes: readonly string[];
}

const secondsOf = (at: string): number => Date.parse(at) / 1000;

/**
 * The tries in the log, in the order of their start. Entries count by their own time, not by their
 * line. A start while the piece still prints closes the earlier try as failed (it was given up); an
 * end without a start is a try of unknown length.
 */
export function attemptsOf(entries: readonly LogEntry[]): Attempt[] {
  const sorted = entries.map((e, i) => ({ e, i })).sort((a, b) => secondsOf(a.e.at) - secondsOf(b.e.at) || a.i - b.i); // prettier-ignore
  const open = new Map<string, Attempt>();
  const out: Attempt[] = [];
  for (const { e } of sorted) {
    const running = open.get(e.piece);
    const at = secondsOf(e.at);
    const notes = e.note === undefined ? [] : [e.note];
    if (e.event === 'start') {
      if (running) out.push({ ...running, state: 'failed', endS: at });
      open.set(e.piece, {
        piece: e.piece, machine: e.machine ?? null, startS: at, endS: null,
        state: 'printing', grams: e.grams ?? null, notes,
      }); // prettier-ignore
      continue;
    }
    open.delete(e.piece);
    out.push({
      piece: e.piece,
      machine: e.machine ?? running?.machine ?? null,
      startS: running?.startS ?? null,
      endS: at,
      state: e.event,
      grams: e.grams ?? running?.grams ?? null,
      notes: [...(running?.notes ?? []), ...notes],
    });
  }
  const when = (a: Attempt): number => a.startS ?? a.endS ?? 0;
  return [...out, ...open.values()].sort((a, b) => when(a) - when(b));
}

/** Where each piece of the log stands now: done stays done, else what its last try says. */
export function progressOf(attempts: readonly Attempt[]): Map<string, Attempt> {
  const out = new Map<string, Attempt>();
  for (const a of attempts) if (out.get(a.piece)?.state !== 'done') out.set(a.piece, a);
  return out;
}

/**
 * Checks an entry against what the log says already.
 * @throws ScantlingError `LOG_CONFLICT` for an end of a piece that was not started, or that comes
 * before its start
 */
export function checkEntry(entry: LogEntry, attempts: readonly Attempt[]): void {
  const last = progressOf(attempts).get(entry.piece);
  if (entry.event === 'start') return;
  if (last?.state !== 'printing')
    throw new ScantlingError('LOG_CONFLICT', `"${entry.piece}" is not printing according to the log.`, {
      remedy: 'Log its start first, with --at for the time it really began.',
    }); // prettier-ignore
  if (secondsOf(entry.at) < (last.startS ?? 0))
    throw new ScantlingError('LOG_CONFLICT', `"${entry.piece}" cannot end before it was started.`, {
      remedy: 'Check the time given with --at.',
    });
}
