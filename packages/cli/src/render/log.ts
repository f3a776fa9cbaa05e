import type { Attempt } from '@scantling/core';
import { csv } from './csv.ts';
import { table, wrap } from './table.ts';
import type { Style } from './style.ts';

/** An instant, s, in the workshop's zone as ISO 8601 with its offset. */
export type Clock = (atS: number) => string;

/** 2026-03-28 20:00+01:00 */
const short = (iso: string): string => `${iso.slice(0, 10)} ${iso.slice(11, 16)}${iso.slice(19)}`;

/** One row per try; notes below. */
export function logText(
  tries: readonly Attempt[],
  clock: Clock,
  nowS: number,
  width: number,
  style: Style,
): string {
  const columns = [
    { head: 'piece', least: 10 },
    { head: 'machine', least: 5 },
    { head: 'state' },
    { head: 'start' },
    { head: 'hours', align: 'right' as const },
    { head: 'g', align: 'right' as const },
  ];
  const rows = tries.map((a) => [
    a.piece,
    a.machine ?? '-',
    a.state,
    a.startS === null ? '-' : short(clock(a.startS)),
    hoursText(a, nowS),
    a.grams === null ? '-' : a.grams.toFixed(0),
  ]);
  const notes = tries.flatMap((a) => (a.notes.length > 0 ? [`${a.piece}: ${a.notes.join('; ').replace(/\s+/g, ' ')}`] : [])); // prettier-ignore
  return [table(columns, rows, width, style), ...notes.map((n) => `${wrap(n, width, '  ')}\n`)].join(''); // prettier-ignore
}

/** Running time; for a print on the machine so far, with a plus. */
function hoursText(a: Attempt, nowS: number): string {
  if (a.startS === null) return '-';
  return `${(((a.endS ?? nowS) - a.startS) / 3600).toFixed(2)}${a.endS === null ? '+' : ''}`;
}

export function logCsv(tries: readonly Attempt[], clock: Clock): string {
  const iso = (s: number | null): string | null => (s === null ? null : clock(s));
  return csv(
    ['piece', 'machine', 'state', 'start', 'end', 'hours_h', 'filament_g', 'note'],
    tries.map((a) => [
      a.piece,
      a.machine,
      a.state,
      iso(a.startS),
      iso(a.endS),
      a.startS !== null && a.endS !== null ? Number(((a.endS - a.startS) / 3600).toFixed(4)) : null,
      a.grams,
      a.notes.join('; '),
    ]),
  );
}
