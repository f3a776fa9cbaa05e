import { describe, expect, it } from 'vitest';
import { lowerBound } from '../../src/schedule/bounds.ts';
import { exactSequences } from '../../src/schedule/exact.ts';
import { ALWAYS, type Hours } from '../../src/schedule/hours.ts';
import { costOf, runsOf, type Problem } from '../../src/schedule/jobs.ts';
import { fileOrder, listSchedule, longestFirst, shortestFirst } from '../../src/schedule/list.ts';
import { solve } from '../../src/schedule/search.ts';
import { seededRandom } from '../../src/math/index.ts';

/** Identical machines, free at 0, always attended, plates changed at once; times in s. */
const identical = (times: number[], m: number, hours: Hours = ALWAYS, from = 0): Problem => ({
  jobs: times.map((t, i) => ({ id: `j${i}`, durationsS: Array<number>(m).fill(t), rank: 0 })),
  machines: Array.from({ length: m }, (_, k) => ({
    name: `m${k}`,
    freeAtS: from,
    plateClear: true,
  })),
  hours,
  changeoverS: 0,
});
const finish = (p: Problem, order: number[], after?: number[][]): number =>
  costOf(p, listSchedule(p, order, after)).finishS;
const optimum = (p: Problem): number => costOf(p, runsOf(p, exactSequences(p) ?? [])).finishS;

describe('published list-scheduling instances (Graham 1966 and 1969; optima by exhaustive search)', () => {
  it.each([
    [2, [3, 3, 2, 2, 2], 7, 6],
    [3, [5, 5, 4, 4, 3, 3, 3], 11, 9],
    [4, [7, 7, 6, 6, 5, 5, 4, 4, 4], 15, 12],
  ])('longest first meets its worst ratio on %i machines', (m, times, listed, least) => {
    const p = identical(times, m);
    expect(finish(p, longestFirst(p))).toBe(listed);
    expect(optimum(p)).toBe(least);
    expect(listed / least).toBeCloseTo(4 / 3 - 1 / (3 * m), 12);
    expect(solve(p)).toMatchObject({ optimal: true, cost: { finishS: least } });
  });

  it.each([2, 3, 4, 5])('file order meets its worst ratio 2 - 1/m on %i machines', (m) => {
    const p = identical([...Array<number>(m * (m - 1)).fill(1), m], m);
    expect(finish(p, fileOrder(p))).toBe(2 * m - 1);
    expect(optimum(p)).toBe(m);
  });

  it("shows Graham's anomaly: more machines, shorter times or fewer rules end later", () => {
    const times = [3, 2, 2, 2, 4, 4, 4, 4, 9];
    // 1 before 9; 4 before 5 to 8 (numbered from 1 in the paper, from 0 here).
    const after: number[][] = [[], [], [], [], [3], [3], [3], [3], [0]];
    const list = times.map((_, i) => i);
    expect(finish(identical(times, 3), list, after)).toBe(12);
    expect(finish(identical(times, 4), list, after)).toBe(15);
    expect(finish(identical(times.map((t) => t - 1), 3), list, after)).toBe(13); // prettier-ignore
    const eased = after.map((a, i) => (i === 4 || i === 5 ? [] : a));
    expect(finish(identical(times, 3), list, eased)).toBe(16);
  });

  it('keeps the bounds 2 - 1/m and 4/3 - 1/(3m) on random instances, and the lower bound below the optimum', () => {
    const random = seededRandom(11);
    for (let k = 0; k < 200; k++) {
      const m = 1 + Math.floor(random() * 4);
      const p = identical(Array.from({ length: 7 }, () => 1 + Math.floor(random() * 20)), m); // prettier-ignore
      const least = optimum(p);
      expect(finish(p, fileOrder(p))).toBeLessThanOrEqual((2 - 1 / m) * least + 1e-9);
      expect(finish(p, longestFirst(p))).toBeLessThanOrEqual((4 / 3 - 1 / (3 * m)) * least + 1e-9);
      expect(lowerBound(p, finish(p, fileOrder(p))).finishS).toBeLessThanOrEqual(least + 1e-9);
    }
  });
});

/** Starts between 08:00 and 22:00 on every day; the axis in hours from midnight of the first day. */
const dayHours = (days: number): Hours => ({
  attended: Array.from({ length: days }, (_, d) => [24 * d + 8, 24 * d + 22]).flat(),
  noEnd: [],
  noRun: [],
  untilS: 24 * days,
});

describe('forbidden start times, one machine (optima by exhaustive search)', () => {
  it.each([
    { times: [9, 9, 9, 5, 5, 5], least: 43, file: 53, longest: 53, shortest: 57 },
    { times: [10, 10, 4, 3, 7], least: 34, file: 38 },
    { times: [14, 10, 3, 3, 2, 2], least: 34, shortest: 38 },
    { times: [12, 12, 6, 6, 2], least: 38 },
  ])('finds the optimum of $times', ({ times, least, file, longest, shortest }) => {
    const p = identical(times, 1, dayHours(10), 8);
    expect(optimum(p) - 8).toBe(least);
    if (file) expect(finish(p, fileOrder(p)) - 8).toBe(file);
    if (longest) expect(finish(p, longestFirst(p)) - 8).toBe(longest);
    if (shortest) expect(finish(p, shortestFirst(p)) - 8).toBe(shortest);
  });

  it('proves the optimum of the first instance by its bound alone', () => {
    const p = identical([9, 9, 9, 5, 5, 5], 1, dayHours(10), 8);
    expect(lowerBound(p, 200)).toMatchObject({ because: 'work-and-nights' });
    expect(lowerBound(p, 200).finishS).toBeCloseTo(51, 4);
  });
});

/** Every order on every machine, played through; the finish, then the idle time. */
function bruteForce(p: Problem): [number, number] {
  let best: [number, number] = [Infinity, Infinity];
  const lanes = p.machines.map((): number[] => []);
  const place = (job: number): void => {
    if (job === p.jobs.length) {
      for (const lane of lanes)
        for (let i = 1; i < lane.length; i++)
          if ((p.jobs[lane[i - 1] as number]?.rank ?? 0) > (p.jobs[lane[i] as number]?.rank ?? 0)) return; // prettier-ignore
      const c = costOf(p, runsOf(p, lanes));
      if (c.finishS < best[0] - 1e-9 || (c.finishS < best[0] + 1e-9 && c.idleS < best[1])) best = [c.finishS, c.idleS]; // prettier-ignore
      return;
    }
    for (const lane of lanes)
      for (let i = 0; i <= lane.length; i++) {
        lane.splice(i, 0, job);
        place(job + 1);
        lane.splice(i, 1);
      }
  };
  place(0);
  return best;
}

describe('the exact method and the bounds against brute force', () => {
  it('agrees with every order on every machine, with hours, quiet rules, ranks and unequal machines', () => {
    const random = seededRandom(5);
    const whole = (a: number, b: number): number => a + Math.floor(random() * (b - a + 1));
    let planned = 0;
    for (let k = 0; k < 120; k++) {
      const m = whole(1, 3);
      const n = m === 1 ? 6 : 5;
      const base = dayHours(20);
      const hours: Hours = {
        ...base,
        noEnd: k % 3 === 0 ? Array.from({ length: 19 }, (_, d) => [24 * d + 27, 24 * d + 32]).flat() : [],
        noRun: k % 5 === 0 ? Array.from({ length: 19 }, (_, d) => [24 * d + 23, 24 * d + 29]).flat() : [],
      }; // prettier-ignore
      const p: Problem = {
        jobs: Array.from({ length: n }, (_, i) => ({
          id: `j${i}`,
          durationsS: Array.from({ length: m }, (_, c) => (c > 0 && random() < 0.2 ? null : whole(1, k % 5 === 0 ? 9 : 30))), // prettier-ignore
          rank: k % 2 === 0 ? 0 : whole(0, 1),
        })),
        machines: Array.from({ length: m }, (_, i) => ({ name: `m${i}`, freeAtS: whole(6, 40), plateClear: random() < 0.5 })), // prettier-ignore
        hours,
        changeoverS: k % 4 === 0 ? 0 : 0.5,
      };
      const [least, idle] = bruteForce(p);
      const sequences = exactSequences(p);
      if (!Number.isFinite(least)) {
        expect(sequences).toBeNull();
        continue;
      }
      planned++;
      const cost = costOf(p, runsOf(p, sequences ?? []));
      expect(cost.finishS).toBeCloseTo(least, 9);
      expect(cost.idleS).toBeCloseTo(idle, 9);
      expect(lowerBound(p, 1000).finishS).toBeLessThanOrEqual(least + 1e-6);
    }
    expect(planned).toBeGreaterThan(90);
  });
});

/** Jobs as [time, machines it goes on]; machines free from `from`, plates clear. */
const restricted = (jobs: readonly (readonly [number, readonly number[]])[], m: number, hours: Hours = ALWAYS, from = 0, changeoverS = 0): Problem => ({
  ...identical(Array<number>(jobs.length).fill(0), m, hours, from),
  jobs: jobs.map(([t, on], i) => ({ id: `j${i}`, durationsS: Array.from({ length: m }, (_, k) => (on.includes(k) ? t : null)), rank: 0 })),
  changeoverS,
}); // prettier-ignore

describe('the bound where machines differ, against brute force', () => {
  it('is tight where one machine has work that no other can do', () => {
    const p = restricted([[5, [1]], [5, [1]], [5, [1]], [1, [0, 1]], [1, [0, 1]]], 2, ALWAYS, 0, 1); // prettier-ignore
    // 3 x 5 and two changes between them; shared out evenly it would be 17 and 3 changes over 2.
    expect(bruteForce(p)[0]).toBe(17);
    expect(lowerBound(p, 100)).toMatchObject({ because: 'work-and-nights', machines: [1] });
    expect(lowerBound(p, 100).finishS).toBeCloseTo(17, 5);
  });

  it('is tight where two of three machines share work, by two on one of them', () => {
    const p = restricted(
      [
        [7, [1, 2]],
        [7, [1, 2]],
        [7, [1, 2]],
        [2, [0]],
      ],
      3,
    );
    expect(bruteForce(p)[0]).toBe(14);
    expect(lowerBound(p, 100)).toMatchObject({ finishS: 14, because: 'two-on-one-machine', machines: [1, 2] }); // prettier-ignore
  });

  it('is tight over the nights of one machine', () => {
    const p = restricted([...[9, 9, 9, 5, 5, 5].map((t) => [t, [1]] as const), [3, [0, 1]]], 2, dayHours(10), 8); // prettier-ignore
    expect(optimum(p)).toBe(51);
    expect(lowerBound(p, 200)).toMatchObject({ because: 'work-and-nights', machines: [1] });
    expect(lowerBound(p, 200).finishS).toBeCloseTo(51, 4);
  });

  it('never lies above the optimum, and often on it', () => {
    const random = seededRandom(77);
    const whole = (a: number, b: number): number => a + Math.floor(random() * (b - a + 1));
    let [tight, sharper] = [0, 0];
    for (let k = 0; k < 150; k++) {
      const m = whole(2, 3);
      const days = k % 2 === 0;
      const jobs = Array.from({ length: 5 }, (): [number, number[]] => {
        const on = Array.from({ length: m }, (_, i) => i).filter(() => random() < 0.45);
        return [whole(2, 20), on.length > 0 ? on : [whole(0, m - 1)]];
      });
      const p = restricted(jobs, m, days ? dayHours(20) : ALWAYS, 8, k % 3 === 0 ? 0.5 : 0);
      const [least] = bruteForce(p);
      const { finishS } = lowerBound(p, 1000);
      expect(finishS).toBeLessThanOrEqual(least + 1e-6);
      if (finishS > least - 1e-3) tight++;
      // Machines taken as if all could do everything: what the whole set alone proves.
      const alike = { ...p, jobs: p.jobs.map((j) => ({ ...j, durationsS: j.durationsS.map(() => Math.max(...j.durationsS.map((d) => d ?? 0))) })) }; // prettier-ignore
      if (finishS > lowerBound(alike, 1000).finishS + 1e-3) sharper++;
    }
    expect(tight).toBeGreaterThan(75);
    expect(sharper).toBeGreaterThan(50);
  });
});
