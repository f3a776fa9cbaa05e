import { instantOf, localDateOf, nextDate, zoneOf, type LocalDate } from './clock.ts';
import { WEEKDAYS, type ScheduleSettings } from './settings.ts';

/** Sorted, disjoint closed spans of time as pairs from, to; s since 1970. */
export type Spans = readonly number[];

/**
 * When a print may start, run and end, on the plain axis of seconds. The model is that of forbidden
 * start times (Billaut & Sourd, 4OR 7 (2009) 37-50): a print may end with nobody there, only the
 * next start waits for a person. It is not the stricter "operator non-availability" (Brauner et
 * al., 4OR 7 (2009) 239-253), in which nothing may end then either.
 */
export interface Hours {
  /** Somebody is there. Both ends count: a print may start at the very end of a span. */
  readonly attended: Spans;
  /** A print may not end strictly inside these. */
  readonly noEnd: Spans;
  /** No print may run inside these. */
  readonly noRun: Spans;
  /** Nothing is known past this instant, s. */
  readonly untilS: number;
}

/** Always attended. */
export const ALWAYS: Hours = {
  attended: [-Infinity, Infinity],
  noEnd: [],
  noRun: [],
  untilS: Infinity,
};

/**
 * Earliest start of a print of `durationS` on a machine free from `readyS` on, when somebody must
 * first handle the plate for `handlingS` without a break. Infinity when none is left before
 * `hours.untilS`. It never falls when `readyS` rises: to be done earlier never hurts.
 */
export function earliestStart(
  hours: Hours,
  readyS: number,
  durationS: number,
  handlingS: number,
): number {
  let s = readyS + handlingS;
  for (let moved = true; moved;) {
    moved = false;
    const i = spanEndingAfter(hours.attended, s);
    if (i < 0) return Infinity;
    let from = (hours.attended[i] as number) + handlingS;
    // A span too short for the handling is no use.
    for (
      let k = i;
      from > (hours.attended[k + 1] as number);
      from = (hours.attended[k] as number) + handlingS
    ) {
      k += 2;
      if (k >= hours.attended.length) return Infinity;
    }
    if (from > s) s = from;
    for (let k = spanEndingAfter(hours.noRun, s); k >= 0 && k < hours.noRun.length; k += 2) {
      if (s >= (hours.noRun[k + 1] as number)) continue;
      if (s + durationS <= (hours.noRun[k] as number)) break;
      s = hours.noRun[k + 1] as number;
      moved = true;
    }
    const end = s + durationS;
    const k = spanEndingAfter(hours.noEnd, end);
    if (k >= 0 && end > (hours.noEnd[k] as number) && end < (hours.noEnd[k + 1] as number)) {
      s = (hours.noEnd[k + 1] as number) - durationS;
      moved = true;
    }
    if (s + durationS > hours.untilS) return Infinity;
  }
  return s;
}

/**
 * Index of the first span whose end is at or after t, or -1. Days are alike, so a straight guess
 * lands within a few spans of it and a walk does the rest: measured 3 times as fast as halving.
 */
function spanEndingAfter(spans: Spans, t: number): number {
  const n = spans.length / 2;
  if (n === 0) return -1;
  const first = spans[1] as number;
  const last = spans[2 * n - 1] as number;
  if (t > last) return -1;
  if (t <= first) return 0;
  let i = Math.min(n - 1, Math.floor(((t - first) / (last - first)) * (n - 1)));
  while ((spans[2 * i + 1] as number) < t) i++;
  while (i > 0 && (spans[2 * i - 1] as number) >= t) i--;
  return 2 * i;
}

/** Length of the part of [from, to] that lies inside the spans, s. */
export function timeInside(spans: Spans, from: number, to: number): number {
  let sum = 0;
  for (let k = Math.max(0, spanEndingAfter(spans, from)); k < spans.length; k += 2) {
    if ((spans[k] as number) >= to) break;
    sum += Math.max(0, Math.min(to, spans[k + 1] as number) - Math.max(from, spans[k] as number));
  }
  return sum;
}

export function isInside(spans: Spans, t: number): boolean {
  const k = spanEndingAfter(spans, t);
  return k >= 0 && t >= (spans[k] as number);
}

/** First instant at or after t inside the spans, or Infinity. */
export function nextInside(spans: Spans, t: number): number {
  const k = spanEndingAfter(spans, t);
  return k < 0 ? Infinity : Math.max(t, spans[k] as number);
}

/** Last instant at or before t inside the spans, or -Infinity. */
export function lastInside(spans: Spans, t: number): number {
  const k = spanEndingAfter(spans, t);
  if (k >= 0 && t >= (spans[k] as number)) return t;
  const before = k < 0 ? spans.length - 1 : k - 1;
  return spans[before] ?? -Infinity;
}

/** The span that holds t, or null. */
export function spanAt(spans: Spans, t: number): readonly [number, number] | null {
  const k = spanEndingAfter(spans, t);
  return k >= 0 && t >= (spans[k] as number) ? [spans[k] as number, spans[k + 1] as number] : null;
}

/** Whether [from, to] reaches into the open inside of a span. */
export function overlaps(spans: Spans, from: number, to: number): boolean {
  for (let k = Math.max(0, spanEndingAfter(spans, from)); k < spans.length; k += 2) {
    if ((spans[k] as number) >= to) return false;
    if ((spans[k + 1] as number) > from) return true;
  }
  return false;
}

/**
 * The workshop's week as spans on the axis, from the day before `fromS` for `days` days.
 * Wall-clock times are taken day by day, so a span keeps its clock times over a daylight-saving
 * change and is an hour shorter or longer instead.
 */
export function hoursOf(settings: ScheduleSettings, fromS: number, days: number): Hours {
  const zone = zoneOf(settings.timeZone);
  const attended: number[] = [];
  const quiet: number[] = [];
  const latest: number[] = [];
  let date: LocalDate = localDateOf(zone, fromS - 86_400);
  const firstS = instantOf(zone, date, 0);
  for (let i = 0; i < days + 2; i++) {
    const noon = localDateOf(zone, instantOf(zone, date, 720));
    const day = WEEKDAYS[noon.weekday] as (typeof WEEKDAYS)[number];
    for (const [a, b] of settings.attended[day].map(minutesOf))
      attended.push(instantOf(zone, date, a), instantOf(zone, date, b));
    for (const [a, b] of settings.quiet.map(minutesOf))
      quiet.push(instantOf(zone, date, a), instantOf(zone, date, b));
    if (settings.latestUnattendedFinish !== null)
      latest.push(instantOf(zone, date, minuteOf(settings.latestUnattendedFinish)));
    date = nextDate(date);
  }
  const untilS = instantOf(zone, date, 0);
  const restful = merge(quiet);
  const there = without(merge(attended), restful, firstS, untilS);
  return {
    attended: there,
    noRun: settings.quietMeans === 'no-printing' ? restful : [],
    noEnd: noEndOf(there, latest),
    untilS,
  };
}

/** From the latest allowed finish in each unattended spell to the spell's end. */
function noEndOf(attended: Spans, latest: readonly number[]): number[] {
  const out: number[] = [];
  for (let k = 1; k + 1 < attended.length; k += 2) {
    const left = attended[k] as number;
    const back = attended[k + 1] as number;
    const limit = latest.find((t) => t >= left);
    if (limit !== undefined && limit < back) out.push(limit, back);
  }
  return out;
}

const minuteOf = (text: string): number => Number(text.slice(0, 2)) * 60 + Number(text.slice(3, 5));

function minutesOf(span: string): [number, number] {
  const from = minuteOf(span.slice(0, 5));
  const to = minuteOf(span.slice(6));
  return [from, to > from ? to : to + 1440];
}

/** Spans sorted, overlapping and touching ones united, empty ones dropped. */
export function merge(spans: Spans): number[] {
  const pairs: [number, number][] = [];
  for (let k = 0; k < spans.length; k += 2)
    if ((spans[k + 1] as number) > (spans[k] as number))
      pairs.push([spans[k] as number, spans[k + 1] as number]);
  pairs.sort((a, b) => a[0] - b[0]);
  const out: number[] = [];
  for (const [a, b] of pairs)
    if (out.length > 0 && a <= (out[out.length - 1] as number))
      out[out.length - 1] = Math.max(b, out[out.length - 1] as number);
    else out.push(a, b);
  return out;
}

/** `spans` less the open insides of `holes`. */
function without(spans: Spans, holes: Spans, from: number, to: number): number[] {
  const free = [from, ...holes, to];
  const out: number[] = [];
  for (let k = 0; k < spans.length; k += 2)
    for (let h = 0; h < free.length; h += 2) {
      const a = Math.max(spans[k] as number, free[h] as number);
      const b = Math.min(spans[k + 1] as number, free[h + 1] as number);
      if (b > a) out.push(a, b);
    }
  return out;
}
