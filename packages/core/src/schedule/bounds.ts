import { earliestStart, timeInside, type Hours } from './hours.ts';
import { handlingBefore, startOf, type MachineState, type Problem } from './jobs.ts';
import { fileOrder, shortest } from './list.ts';

/** Why no plan can finish earlier. */
export type BoundReason =
  /** Some print alone needs as long. */
  | 'longest-print'
  /** More prints than machines: two of the longest must share one. */
  | 'two-on-one-machine'
  /** The work needs so many attended hours and nights. */
  | 'work-and-nights'
  /** Every plan was looked at. */
  | 'all-plans';

export interface LowerBound {
  /** Proved: no plan ends before this instant, s. */
  readonly finishS: number;
  readonly because: BoundReason;
  /** The machines it is about, by index: work that goes on these alone. */
  readonly machines: readonly number[];
}

/**
 * Proved lower bound on the finish: the largest over sets of machines, each with the jobs that go
 * on no other machine. Leaving out the rest of the work never makes a plan end later, so each set's
 * bound holds for the whole. Within a set three bounds, the largest counts:
 * the longest print; p_m + p_(m+1), longest first, when there are more prints than m machines (both
 * as in Graham 1969); and the work that fits until T. For the last: while nobody is there a machine
 * goes on with one print at most, so each unattended gap is covered by one print, no longer than
 * either of the two; matching longest gaps with longest prints covers the most that any plan can
 * (the sum of min(a, b) is largest when both are sorted alike). T is too early as long as attended
 * time plus covered gaps is less than the work with its changeovers.
 * @param atMostS a finish that is known to be possible
 */
export function lowerBound(problem: Problem, atMostS: number): LowerBound {
  const { machines } = problem;
  const origin = Math.min(...machines.map((m) => m.freeAtS));
  let best: LowerBound = { finishS: origin, because: 'all-plans', machines: machines.map((_, k) => k) }; // prettier-ignore
  for (const set of machineSets(problem)) {
    const found = boundOn(problem, set, atMostS);
    if (found.finishS > best.finishS) best = found;
  }
  return { ...best, finishS: Math.min(best.finishS, atMostS) };
}

/** More sets than this are not looked at; the whole always is. */
const MOST_SETS = 256;

/**
 * Sets of machines worth a look, the whole first: unions of the sets that jobs go on. Another set
 * has the work of the largest of these inside it, and more machines to do it.
 */
function machineSets({ jobs, machines }: Problem): number[][] {
  const whole = machines.map((_, k) => k);
  const own = new Map(jobs.map((job) => {
    const on = whole.filter((k) => typeof job.durationsS[k] === 'number');
    return [on.join(' '), on] as const;
  })); // prettier-ignore
  const sets = new Map<string, number[]>([[whole.join(' '), whole]]);
  for (const on of own.values())
    for (const other of [[], ...sets.values()]) {
      if (sets.size >= MOST_SETS) break;
      const union = whole.filter((k) => on.includes(k) || other.includes(k));
      sets.set(union.join(' '), union);
    }
  return [...sets.values()];
}

/** The bound from the jobs that go on machines of the set alone. */
function boundOn(problem: Problem, set: readonly number[], atMostS: number): LowerBound {
  const inside = narrowed(problem, set);
  const { machines, jobs, changeoverS } = inside;
  if (jobs.length === 0) return { finishS: -Infinity, because: 'all-plans', machines: set };
  const all = fileOrder(inside);
  const ready = machines.map((m, k) =>
    earliestStart(inside.hours, m.freeAtS, 0, handlingBefore(inside, k, true)),
  );
  const longest = Math.max(
    ...all.map((job) =>
      Math.min(
        ...machines.map((m, k) => {
          const d = jobs[job]?.durationsS[k] ?? Infinity;
          return startOf(inside, job, k, m.freeAtS, true) + d;
        }),
      ),
    ),
  );
  const sorted = all.map((j) => shortest(inside, j)).sort((a, b) => b - a);
  const m = machines.length;
  const pair =
    jobs.length > m
      ? Math.min(...ready) + (sorted[m - 1] as number) + (sorted[m] as number) + changeoverS
      : -Infinity;
  const origin = Math.min(...machines.map((machine) => machine.freeAtS));
  const work = workBound(inside, sorted, ready, Math.max(longest, pair, origin), atMostS);
  const best = Math.max(longest, pair, work);
  return {
    finishS: best,
    because: best === longest ? 'longest-print' : best === pair ? 'two-on-one-machine' : 'work-and-nights', // prettier-ignore
    machines: set,
  };
}

/** The problem with these machines and the jobs that go on no other. */
function narrowed(problem: Problem, set: readonly number[]): Problem {
  const jobs = problem.jobs
    .filter((job) => job.durationsS.every((d, k) => d === null || set.includes(k)))
    .map((job) => ({ ...job, durationsS: set.map((k) => job.durationsS[k] ?? null) }));
  return { ...problem, jobs, machines: set.map((k) => problem.machines[k] as MachineState) };
}

function workBound(
  problem: Problem,
  sorted: readonly number[],
  ready: readonly number[],
  fromS: number,
  atMostS: number,
): number {
  const { hours, changeoverS } = problem;
  const handling = Math.max(0, sorted.length - ready.length) * changeoverS;
  const need = sorted.reduce((a, b) => a + b, 0) + handling;
  const copies = copiesOf(hours, sorted);
  const short = (t: number): boolean => {
    let room = 0;
    const gaps: number[] = [];
    for (const r of ready) {
      if (r >= t) continue;
      room += timeInside(hours.attended, r, t);
      for (const [a, b] of gapsBetween(hours, r, t))
        gaps.push(b - a - timeInside(hours.noRun, a, b));
    }
    gaps.sort((a, b) => b - a);
    for (let i = 0; i < gaps.length && i < copies.length; i++)
      room += Math.min(gaps[i] as number, copies[i] as number);
    return room < need - 1e-6;
  };
  if (!short(fromS)) return -Infinity;
  let lo = fromS;
  let hi = atMostS;
  // 45 halvings of a year leave far less than a millisecond.
  for (let i = 0; i < 45 && hi > lo; i++) {
    const mid = (lo + hi) / 2;
    if (short(mid)) lo = mid;
    else hi = mid;
  }
  return lo;
}

/** Lengths of the prints, longest first, each as often as it could cover a gap. */
function copiesOf(hours: Hours, sorted: readonly number[]): number[] {
  const lefts: number[] = [];
  for (let k = 1; k < hours.attended.length; k += 2) lefts.push(hours.attended[k] as number);
  const out: number[] = [];
  for (const d of sorted) {
    let most = 1;
    for (let i = 0, j = 0; i < lefts.length; i++) {
      j = Math.max(j, i);
      while (j + 1 < lefts.length && (lefts[j + 1] as number) < (lefts[i] as number) + d) j++;
      most = Math.max(most, j - i + 1);
    }
    for (let i = 0; i < most; i++) out.push(d);
  }
  return out;
}

/** Unattended gaps inside [from, to], cut off at `to`. */
function gapsBetween(hours: Hours, from: number, to: number): [number, number][] {
  const out: [number, number][] = [];
  const { attended } = hours;
  for (let k = 1; k < attended.length; k += 2) {
    const a = Math.max(from, attended[k] as number);
    const b = Math.min(to, attended[k + 1] ?? hours.untilS);
    if (a >= to) break;
    if (b > a) out.push([a, b]);
  }
  return out;
}
