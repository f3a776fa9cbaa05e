import { describe, expect, it } from 'vitest';
import { attemptsOf, checkEntry, logLine, parseLog, progressOf, type LogEntry } from '../../src/kit/index.ts'; // prettier-ignore

const entry = (event: LogEntry['event'], piece: string, at: string, more: Partial<LogEntry> = {}): LogEntry => ({ event, piece, at: `2026-11-25T${at}:00+01:00`, ...more }); // prettier-ignore

const story = [
  entry('start', 'knee', '08:00', { machine: 'big' }),
  entry('failed', 'knee', '10:30', { note: 'let go of the plate,\n"again"' }),
  entry('start', 'knee', '11:00', { machine: 'big' }),
  entry('done', 'knee', '18:15', { grams: 212.5 }),
  entry('start', 'boot', '18:30', { machine: 'big' }),
];

describe('the log', () => {
  it('reads what it wrote, a note with line breaks included', () => {
    const text = story.map(logLine).join('');
    expect(text.split('\n')).toHaveLength(story.length + 1);
    expect(parseLog(text)).toEqual({ entries: story, damaged: [], torn: false });
  });

  it('answers how long the knee took, and keeps the failed try', () => {
    const tries = attemptsOf(story);
    expect(tries.map((t) => [t.piece, t.state, t.endS === null ? null : (t.endS - (t.startS ?? 0)) / 3600])).toEqual([['knee', 'failed', 2.5], ['knee', 'done', 7.25], ['boot', 'printing', null]]); // prettier-ignore
    expect(progressOf(tries).get('knee')).toMatchObject({ state: 'done', grams: 212.5 });
  });

  it('survives a cut at every byte: whole lines stay, the torn one is named', () => {
    const text = story.map(logLine).join('');
    for (let cut = 0; cut < text.length; cut++) {
      const read = parseLog(text.slice(0, cut));
      const whole = text.slice(0, cut).split('\n').length - 1;
      // A cut just before the line end leaves a whole entry that only lacks its end.
      const justBefore = text[cut] === '\n' ? 1 : 0;
      expect(read.entries).toHaveLength(whole + justBefore);
      expect(read.torn).toBe(cut > 0 && text[cut - 1] !== '\n');
      expect(read.damaged.length).toBe(read.torn && !justBefore ? 1 : 0);
    }
  });

  it('goes on after a torn line in the middle', () => {
    const [a, b] = [logLine(story[0] as LogEntry), logLine(story[1] as LogEntry)];
    const read = parseLog(`${a}{"event":"do\n${b}`);
    expect(read.entries).toHaveLength(2);
    expect(read.damaged).toMatchObject([{ line: 2 }]);
    expect(parseLog('{"event":"eaten","piece":"x","at":"2026-11-25T08:00:00Z"}\n').damaged).toHaveLength(1); // prettier-ignore
  });

  it('counts a second start as giving up the first, and orders by time, not by line', () => {
    const tries = attemptsOf([entry('done', 'hat', '12:00'), entry('start', 'hat', '09:00'), entry('start', 'hat', '08:00')]); // prettier-ignore
    expect(tries.map((t) => t.state)).toEqual(['failed', 'done']);
  });

  it('refuses an end without a start', () => {
    const tries = attemptsOf(story);
    expect(() => checkEntry(entry('done', 'boot', '19:00'), tries)).not.toThrow();
    const conflict = expect.objectContaining({ code: 'LOG_CONFLICT' }) as Error;
    expect(() => checkEntry(entry('done', 'knee', '19:00'), tries)).toThrow(conflict);
    expect(() => checkEntry(entry('failed', 'arm', '19:00'), tries)).toThrow(conflict);
    expect(() => checkEntry(entry('done', 'boot', '18:00'), tries)).toThrow(conflict);
  });
});
