import { earliestStart, type Hours } from './hours.ts';

/** One print: a plate with one or several pieces. */
export interface Job {
  readonly id: string;
  /** Running time per machine, s, in the order of the machines; null where it cannot be printed. */
  readonly durationsS: readonly (number | null)[];
  /** Place of its group in the wanted order, from 0. On each machine ranks never fall. */
  readonly rank: number;
}

/** A machine as the plan finds it. */
export interface MachineState {
  readonly name: string;
  /** When it is free, s; the end of what it prints now, or the beginning of the plan. */
  readonly freeAtS: number;
  /** False when a print still stands on its plate then, which must be cleared first. */
  readonly plateClear: boolean;
}

/** A planning problem on the plain axis of seconds. */
export interface Problem {
  readonly jobs: readonly Job[];
  readonly machines: readonly MachineState[];
  readonly hours: Hours;
  /** To clear a plate and start the next print, s, without a break while somebody is there. */
  readonly changeoverS: number;
}

/** Per machine the indices of its jobs in the order they are printed. */
export type Sequences = readonly (readonly number[])[];

export interface Run {
  readonly job: number;
  readonly machine: number;
  readonly startS: number;
  readonly endS: number;
}

/** What is minimised, in this order; all in s. */
export interface Cost {
  /** When the last print ends, an instant. */
  readonly finishS: number;
  /** Machines waiting between prints, summed: from each machine's freedom to its own last end. */
  readonly idleS: number;
  /** Start times after the first machine's freedom, summed: the smaller, the sooner pieces are there. */
  readonly startsS: number;
}

export const durationOf = (problem: Problem, job: number, machine: number): number | null =>
  problem.jobs[job]?.durationsS[machine] ?? null;

/** Handling before a machine's n-th print of the plan. */
export const handlingBefore = (problem: Problem, machine: number, first: boolean): number =>
  first && problem.machines[machine]?.plateClear ? 0 : problem.changeoverS;

/** Start of a job on a machine that is free from `readyS` on; Infinity if it never can start. */
export function startOf(
  problem: Problem,
  job: number,
  machine: number,
  readyS: number,
  first: boolean,
): number {
  const d = durationOf(problem, job, machine);
  return d === null
    ? Infinity
    : earliestStart(problem.hours, readyS, d, handlingBefore(problem, machine, first));
}

/** Every print as early as its machine's sequence allows. */
export function runsOf(problem: Problem, sequences: Sequences): Run[] {
  const runs: Run[] = [];
  sequences.forEach((sequence, machine) => {
    let ready = problem.machines[machine]?.freeAtS ?? 0;
    sequence.forEach((job, i) => {
      const startS = startOf(problem, job, machine, ready, i === 0);
      const endS = startS + (durationOf(problem, job, machine) ?? Infinity);
      runs.push({ job, machine, startS, endS });
      ready = endS;
    });
  });
  return runs;
}

export function costOf(problem: Problem, runs: readonly Run[]): Cost {
  const originS = Math.min(...problem.machines.map((m) => m.freeAtS));
  const ends = problem.machines.map((m) => m.freeAtS);
  let finishS = originS;
  let idleS = 0;
  let startsS = 0;
  for (const run of runs) {
    idleS += run.startS - (ends[run.machine] as number);
    ends[run.machine] = run.endS;
    startsS += run.startS - originS;
    finishS = Math.max(finishS, run.endS);
  }
  return { finishS, idleS, startsS };
}

/** Below zero when `a` is better. Half a second counts as equal: sums of floats are not exact. */
export function compareCost(a: Cost, b: Cost): number {
  for (const key of ['finishS', 'idleS', 'startsS'] as const) {
    const d = a[key] - b[key];
    if (Math.abs(d) > 0.5 || Number.isNaN(d)) return d;
  }
  return 0;
}
