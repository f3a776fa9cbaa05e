import type { Plan, PlannedPrint } from './schema.ts';

/**
 * The plan as a calendar file after RFC 5545: one event per print, with an alarm when somebody can
 * take it off, and one for each spool to be changed on the way. Times are written in UTC, so every reader shows its own local time and no zone
 * rules need to travel along. Lines end in CR LF and are folded at 75 octets.
 * @param stampS when the file is made, s since 1970
 * @param name of the kit, shown as the calendar's name and part of each event's identity
 */
export function planCalendar(plan: Plan, stampS: number, name: string): string {
  const lines = [
    'BEGIN:VCALENDAR',
    'VERSION:2.0',
    'PRODID:-//Scantling//Plan//EN',
    'CALSCALE:GREGORIAN',
    `NAME:${escapeText(name)}`,
    ...plan.prints.flatMap((print) => eventOf(print, changesIn(plan, print), stampS, name)),
    'END:VCALENDAR',
  ];
  return lines.map((line) => `${fold(line)}\r\n`).join('');
}

type Change = Plan['spools'][number]['changes'][number];

const changesIn = (plan: Plan, { print }: PlannedPrint): Change[] =>
  plan.spools.flatMap((s) => s.changes.filter((c) => c.print === print));

/** 2026-03-28 20:00, as the plan's own zone has it. */
const clock = (iso: string): string => iso.slice(0, 16).replace('T', ' ');

function eventOf(
  print: PlannedPrint,
  changes: readonly Change[],
  stampS: number,
  name: string,
): string[] {
  const title = `${print.pieces.join(', ')} on ${print.machine}`;
  const facts = [
    `Print ${print.print}: ${print.hours.toFixed(1)} h likely (${print.hoursLow.toFixed(1)} to ${print.hoursHigh.toFixed(1)}), ${print.massG.toFixed(0)} g ${print.material}.`,
    ...changes.map((c) =>
      c.kind === 'before'
        ? `Put on a spool with ${c.loadG.toFixed(0)} g first.`
        : c.kind === 'dry'
          ? `Runs out about ${clock(c.at)} with nobody there, and stands still until somebody comes.`
          : `Change the spool at ${clock(c.at)}.`,
    ),
    print.endsUnattended ? 'Ends with nobody there; the alarm waits until somebody is.' : '',
  ];
  return [
    'BEGIN:VEVENT',
    `UID:${identity(`${name}/${print.pieces.join('+')}`)}@plan.scantling`,
    `DTSTAMP:${utc(stampS)}`,
    `DTSTART:${utc(Date.parse(print.start) / 1000)}`,
    `DTEND:${utc(Date.parse(print.end) / 1000)}`,
    `SUMMARY:${escapeText(title)}`,
    `DESCRIPTION:${escapeText(facts.filter(Boolean).join('\n'))}`,
    ...changes
      .filter((c) => c.kind === 'when-empty' || c.kind === 'early')
      .flatMap((c) => alarm(c.at, `Change the spool: ${title}`)),
    // At the end itself, or at the first moment after it at which somebody is there and awake.
    ...alarm(print.clear, `Should be finished: ${title}`),
    'END:VEVENT',
  ];
}

const alarm = (at: string, words: string): string[] => [
  'BEGIN:VALARM',
  'ACTION:DISPLAY',
  `TRIGGER;VALUE=DATE-TIME:${utc(Date.parse(at) / 1000)}`,
  `DESCRIPTION:${escapeText(words)}`,
  'END:VALARM',
];

const utc = (s: number): string =>
  new Date(Math.round(s) * 1000).toISOString().replace(/[-:]|\.\d+/g, '');

/** Section 3.3.11: backslash, semicolon and comma are escaped, a line break is written \n. */
const escapeText = (text: string): string =>
  text.replace(/[\\;,]/g, '\\$&').replace(/\r\n|\r|\n/g, '\\n').replace(/[\u0000-\u0008\u000b-\u001f\u007f]/g, ''); // prettier-ignore

/** Section 3.1: no line longer than 75 octets of UTF-8, continued after CR LF and one space. */
function fold(line: string): string {
  let out = '';
  let octets = 0;
  for (const char of line) {
    const code = char.codePointAt(0) ?? 0;
    const size = code < 0x80 ? 1 : code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
    if (octets + size > 75) {
      out += '\r\n ';
      octets = 1;
    }
    out += char;
    octets += size;
  }
  return out;
}

/** The same pieces keep the same identity, so that a new plan replaces the old events: FNV-1a, twice. */
function identity(text: string): string {
  const hash = (seed: number): string => {
    let h = seed;
    for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193);
    return (h >>> 0).toString(16).padStart(8, '0');
  };
  return hash(0x811c9dc5) + hash(0x12345678);
}
