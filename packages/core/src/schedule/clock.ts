import { DateTime, IANAZone } from 'luxon';
import { ScantlingError } from '../errors.ts';

/**
 * Wall-clock time and instants. Instants are seconds since 1970-01-01 UTC, so lengths of time are
 * plain differences and no daylight-saving change can falsify them. The zone rules are luxon's
 * (the tz database as the platform carries it). Luxon's own conversion from wall-clock time looks at
 * the present moment to settle doubtful times; here that would make results depend on the day they
 * are computed, so `instantOf` settles them itself.
 */

/** A wall-clock date; month and day count from 1. */
export interface LocalDate {
  readonly year: number;
  readonly month: number;
  readonly day: number;
}

export const isTimeZone = (name: string): boolean => IANAZone.isValidZone(name);

/** @throws ScantlingError `UNKNOWN_ZONE` */
export function zoneOf(name: string): IANAZone {
  const zone = IANAZone.create(name);
  if (!zone.isValid)
    throw new ScantlingError('UNKNOWN_ZONE', `"${name}" is not a time zone.`, {
      remedy: 'Use a name of the tz database, for example Europe/Berlin.',
    });
  return zone;
}

const DAY_S = 86_400;

/**
 * The instant of a wall-clock time, s. `minute` counts from midnight and may pass 24:00.
 * A time that the clock skips in spring counts from before the change (02:30 becomes 03:30), one
 * that it shows twice in autumn means the first (both as RFC 5545, section 3.3.5, has it).
 */
export function instantOf(zone: IANAZone, date: LocalDate, minute: number): number {
  const asUtcS = Date.UTC(date.year, date.month - 1, date.day) / 1000 + minute * 60;
  const offsetS = (atS: number): number => zone.offset(atS * 1000) * 60;
  const before = asUtcS - offsetS(asUtcS - DAY_S);
  const after = asUtcS - offsetS(asUtcS + DAY_S);
  const holds = [before, after].filter((t) => t + offsetS(t) === asUtcS);
  return holds.length > 0 ? Math.min(...holds) : before;
}

/** The wall-clock date of an instant, and the weekday, 0 for Monday to 6 for Sunday. */
export function localDateOf(zone: IANAZone, atS: number): LocalDate & { readonly weekday: number } {
  const t = DateTime.fromMillis(atS * 1000, { zone });
  return { year: t.year, month: t.month, day: t.day, weekday: t.weekday - 1 };
}

/** The day after, by the calendar. */
export function nextDate(date: LocalDate): LocalDate {
  const t = new Date(Date.UTC(date.year, date.month - 1, date.day + 1));
  return { year: t.getUTCFullYear(), month: t.getUTCMonth() + 1, day: t.getUTCDate() };
}

/** ISO 8601 with the zone's offset, to the second: "2026-03-28T20:00:00+01:00". */
export const isoIn = (zone: IANAZone, atS: number): string =>
  DateTime.fromMillis(Math.round(atS) * 1000, { zone }).toISO({ suppressMilliseconds: true }) ?? '';

/**
 * An instant from what a person or a log wrote: ISO 8601 with an offset, or wall-clock time in the
 * zone ("2026-03-28 20:00", "2026-03-28T20:00", "2026-03-28"). An offset is honoured whatever the
 * zone: "2026-10-25 02:30+01:00" is the second of the two half past two of that night.
 * @throws ScantlingError `BAD_TIME`
 */
export function parseInstant(zone: IANAZone, text: string): number {
  const plain = /^(\d{4})-(\d\d)-(\d\d)(?:[T ](\d\d):(\d\d)(?::(\d\d))?)?$/.exec(text.trim());
  const bad = (): ScantlingError =>
    new ScantlingError('BAD_TIME', `"${text}" is not a date and time.`, {
      remedy: 'Write it as 2026-03-28 20:00, or as ISO 8601 with an offset.',
    });
  if (!plain) {
    // A blank between date and time, and before the offset, as people write it.
    const iso = text
      .trim()
      .replace(/^(\d{4}-\d\d-\d\d) +/, '$1T')
      .replace(/ +(?=[zZ+-])/, '');
    const t = DateTime.fromISO(iso, { setZone: true });
    if (!t.isValid || !/T.*([zZ]|[+-]\d\d:?\d\d)$/.test(iso)) throw bad();
    return t.toMillis() / 1000;
  }
  const [year, month, day, hour, minute, second] = plain.slice(1).map((s) => Number(s ?? 0));
  const check = DateTime.fromObject({ year, month, day, hour, minute, second }, { zone: 'utc' });
  if (!check.isValid) throw bad();
  const date = { year: year as number, month: month as number, day: day as number };
  return instantOf(zone, date, (hour as number) * 60 + (minute as number)) + (second as number);
}
