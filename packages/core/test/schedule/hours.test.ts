import { describe, expect, it } from 'vitest';
import { instantOf, isoIn, localDateOf, parseInstant, zoneOf } from '../../src/schedule/clock.ts';
import { earliestStart, hoursOf, isInside, merge, timeInside } from '../../src/schedule/hours.ts';
import { scheduleSettingsSchema } from '../../src/schedule/settings.ts';
import { seededRandom } from '../../src/math/index.ts';

const at = (zone: string, text: string): number => parseInstant(zoneOf(zone), text);

describe('clock changes (tz database)', () => {
  it.each([
    ['Europe/Berlin', '2026-03-28 20:00', '2026-03-29T07:00:00+02:00'],
    ['Europe/Berlin', '2026-10-24 20:00', '2026-10-25T05:00:00+01:00'],
    ['America/New_York', '2026-03-07 20:00', '2026-03-08T07:00:00-04:00'],
    ['America/New_York', '2026-10-31 20:00', '2026-11-01T05:00:00-05:00'],
  ])('in %s ten hours after %s is %s', (zone, start, end) => {
    expect(isoIn(zoneOf(zone), at(zone, start) + 36_000)).toBe(end);
  });

  it('settles skipped and doubled times as RFC 5545 says, whatever the day it runs on', () => {
    // 02:30 does not exist on 2026-03-29 in Berlin: counted from before the change it is 03:30.
    expect(isoIn(zoneOf('Europe/Berlin'), at('Europe/Berlin', '2026-03-29 02:30'))).toBe('2026-03-29T03:30:00+02:00'); // prettier-ignore
    // 02:30 comes twice on 2026-10-25: the first is summer time.
    expect(isoIn(zoneOf('Europe/Berlin'), at('Europe/Berlin', '2026-10-25 02:30'))).toBe('2026-10-25T02:30:00+02:00'); // prettier-ignore
  });

  it('keeps clock times of a span over the change, so the span is an hour shorter or longer', () => {
    const settings = scheduleSettingsSchema.parse({
      timeZone: 'Europe/Berlin',
      attended: { sun: ['00:00-24:00'] },
    });
    const day = (text: string): number => {
      const from = at('Europe/Berlin', text);
      const hours = hoursOf(settings, from, 3);
      return timeInside(hours.attended, from, from + 26 * 3600) / 3600;
    };
    // Sunday whole, then Monday from 08:00 is out of reach of 26 h on every one of these days.
    expect(day('2026-03-29')).toBe(23);
    expect(day('2026-10-25')).toBe(25);
    expect(day('2026-06-07')).toBe(24);
  });

  it('reads ISO times with an offset and refuses what is no time', () => {
    expect(at('UTC', '2026-03-28T20:00:00+01:00')).toBe(Date.UTC(2026, 2, 28, 19) / 1000);
    // Both half past twos of the night on which Berlin sets its clocks back (tz database).
    for (const [text, hourUtc] of [
      ['2026-10-25 02:30', 0],
      ['2026-10-25 02:30+02:00', 0],
      ['2026-10-25 02:30 +01:00', 1],
      ['2026-10-25T01:30Z', 1],
    ] as const)
      // prettier-ignore
      expect(at('Europe/Berlin', text)).toBe(Date.UTC(2026, 9, 25, hourUtc, 30) / 1000);
    for (const bad of [
      '2026-03-28+01:00',
      'yesterday',
      '2026-02-30',
      '2026-03-28T20:00:00.5',
      '25:00',
    ])
      expect(() => at('UTC', bad)).toThrow(expect.objectContaining({ code: 'BAD_TIME' }));
    expect(() => zoneOf('Atlantis/Port')).toThrow(expect.objectContaining({ code: 'UNKNOWN_ZONE' })); // prettier-ignore
  });

  it('gives the weekday of the local date', () => {
    // 2026-11-25 is a Wednesday (ISO 8601 calendar).
    const zone = zoneOf('Pacific/Auckland');
    expect(localDateOf(zone, instantOf(zone, { year: 2026, month: 11, day: 25 }, 30))).toMatchObject({ day: 25, weekday: 2 }); // prettier-ignore
  });
});

describe('house rules', () => {
  const from = at('UTC', '2026-06-01 00:00');
  const h = (hours: number): number => from + hours * 3600;

  it('runs a span past midnight and takes quiet hours out of the attended ones', () => {
    const settings = scheduleSettingsSchema.parse({
      attended: { mon: ['18:00-02:00'], tue: [] },
      quiet: ['23:00-06:00'],
    });
    const { attended, noRun } = hoursOf(settings, from, 2);
    expect(timeInside(attended, h(0), h(30)) / 3600).toBe(5);
    expect(isInside(attended, h(24.5))).toBe(false);
    expect(noRun).toHaveLength(0);
  });

  it('lets machines rest in quiet hours when they mean no printing', () => {
    const settings = scheduleSettingsSchema.parse({
      quiet: ['23:00-06:00'],
      quietMeans: 'no-printing',
      attended: { mon: ['00:00-24:00'], tue: ['00:00-24:00'] },
    });
    const hours = hoursOf(settings, from, 3);
    expect(earliestStart(hours, h(20), 3 * 3600, 0)).toBe(h(20));
    expect(earliestStart(hours, h(20), 3.5 * 3600, 0)).toBe(h(30));
    expect(earliestStart(hours, h(20), 18 * 3600, 0)).toBe(Infinity);
  });

  it('holds a print back until it ends in time or with somebody there', () => {
    const settings = scheduleSettingsSchema.parse({ latestUnattendedFinish: '02:00' });
    const hours = hoursOf(settings, from, 4);
    // Attended 08-22. Six hours from 21:00 would end at 03:00, so it waits until 08:00.
    expect(earliestStart(hours, h(19), 6 * 3600, 0)).toBe(h(19));
    expect(earliestStart(hours, h(21), 6 * 3600, 0)).toBe(h(32));
    // Eleven hours from 20:00 would end at 07:00: from 21:00 on it ends when somebody is there.
    expect(earliestStart(hours, h(20), 11 * 3600, 0)).toBe(h(21));
  });

  it('finds the earliest start that a search in steps of a quarter of an hour finds', () => {
    const random = seededRandom(9);
    const whole = (n: number): number => Math.floor(random() * n);
    for (let k = 0; k < 300; k++) {
      const spans = (n: number): number[] => merge(Array.from({ length: n }, () => { const a = whole(190); return [a, a + 1 + whole(24)]; }).flat()); // prettier-ignore
      const hours = { attended: spans(9), noRun: spans(2), noEnd: spans(3), untilS: 220 };
      const [ready, d, handling] = [whole(60), 1 + whole(40), whole(3)] as [number, number, number];
      let slow = Infinity;
      const inOpen = (list: number[], a: number, b: number): boolean => list.some((from, i) => i % 2 === 0 && a < (list[i + 1] as number) && b > from); // prettier-ignore
      for (let s = ready + handling; s + d <= 220; s += 0.25) {
        const there = hours.attended.some((a, i) => i % 2 === 0 && a <= s - handling && s <= (hours.attended[i + 1] as number)); // prettier-ignore
        if (!there || inOpen(hours.noRun, s, s + d) || inOpen(hours.noEnd, s + d, s + d)) continue;
        slow = s;
        break;
      }
      expect(earliestStart(hours, ready, d, handling)).toBe(slow);
    }
  });
});
