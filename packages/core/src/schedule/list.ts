import { ScantlingError } from '../errors.ts';
import { durationOf, startOf, type Problem, type Run, type Sequences } from './jobs.ts';

/**
 * List scheduling (Graham, BSTJ 45 (1966) 1563): whenever a machine can start something, it takes
 * the first job of the list that is ready. On identical machines that are always attended it needs
 * at most 2 - 1/m times the least time, with the longest first at most 4/3 - 1/(3m) times (Graham,
 * SIAM J. Appl. Math. 17 (1969) 416-429).
 * @param order job indices, each once
 * @param after per job the jobs that must have ended before it starts; none by default
 * @throws ScantlingError `CANNOT_PLAN` for a job that no machine can ever start
 */
export function listSchedule(
  problem: Problem,
  order: readonly number[],
  after: readonly (readonly number[])[] = [],
): Run[] {
  const ready = problem.machines.map((m) => m.freeAtS);
  const used = problem.machines.map(() => false);
  const ranks = problem.machines.map(() => -Infinity);
  const ended = new Map<number, number>();
  const runs: Run[] = [];
  const waiting = [...order];
  while (waiting.length > 0) {
    let best: { place: number; machine: number; startS: number } | undefined;
    const lowest = lowestRanks(problem, waiting);
    waiting.forEach((job, place) => {
      const before = (after[job] ?? []).map((j) => ended.get(j) ?? Infinity);
      const readyAt = Math.max(-Infinity, ...before);
      if (readyAt === Infinity) return;
      for (let machine = 0; machine < ready.length; machine++) {
        const rank = problem.jobs[job]?.rank ?? 0;
        if (rank > (lowest[machine] as number) || rank < (ranks[machine] as number)) continue;
        const free = Math.max(ready[machine] as number, readyAt);
        const startS = startOf(problem, job, machine, free, !used[machine]);
        if (startS < (best?.startS ?? Infinity)) best = { place, machine, startS };
      }
    });
    if (!best) throw cannotPlan(problem, waiting[0] as number);
    const { place, machine, startS } = best;
    const job = waiting.splice(place, 1)[0] as number;
    const endS = startS + (durationOf(problem, job, machine) ?? 0);
    runs.push({ job, machine, startS, endS });
    ended.set(job, endS);
    ready[machine] = endS;
    used[machine] = true;
    ranks[machine] = problem.jobs[job]?.rank ?? 0;
  }
  return runs;
}

/** Lowest rank still waiting that each machine could print: it may not start a later group. */
function lowestRanks(problem: Problem, waiting: readonly number[]): number[] {
  return problem.machines.map((_, machine) =>
    waiting.reduce(
      (low, job) =>
        durationOf(problem, job, machine) === null
          ? low
          : Math.min(low, problem.jobs[job]?.rank ?? 0),
      Infinity,
    ),
  );
}

/** Time a job takes at best, s. */
export const shortest = (problem: Problem, job: number): number =>
  Math.min(...(problem.jobs[job]?.durationsS ?? []).map((d) => d ?? Infinity));

export const fileOrder = (problem: Problem): number[] => problem.jobs.map((_, i) => i);

export const longestFirst = (problem: Problem): number[] =>
  fileOrder(problem).sort((a, b) => shortest(problem, b) - shortest(problem, a) || a - b);

export const shortestFirst = (problem: Problem): number[] =>
  fileOrder(problem).sort((a, b) => shortest(problem, a) - shortest(problem, b) || a - b);

/**
 * Day and night by hand: the machine that is free first takes the job that wastes the least of its
 * time until it could start again; long prints so fall on the nights. Ties go to the longer print.
 */
export function leastWaste(problem: Problem): Run[] {
  const ready = problem.machines.map((m) => m.freeAtS);
  const used = problem.machines.map(() => false);
  const waiting = new Set(fileOrder(problem));
  const runs: Run[] = [];
  while (waiting.size > 0) {
    const lowest = lowestRanks(problem, [...waiting]);
    const open = ready.map((_, m) => m).filter((m) => lowest[m] !== Infinity);
    const machine = open.reduce(
      (a, b) => ((ready[b] as number) < (ready[a] as number) ? b : a),
      open[0] ?? -1,
    );
    let best: { job: number; startS: number; endS: number; waste: number } | undefined;
    for (const job of waiting) {
      if (machine < 0 || problem.jobs[job]?.rank !== lowest[machine]) continue;
      const d = durationOf(problem, job, machine);
      if (d === null) continue;
      const free = ready[machine] as number;
      const startS = startOf(problem, job, machine, free, !used[machine]);
      const endS = startS + d;
      const again = startOf(problem, job, machine, endS, false);
      const until = again === Infinity ? endS : again - problem.changeoverS;
      const waste = (until - free - d) / d;
      const better = best === undefined || waste < best.waste - 1e-9;
      if (better || (waste < best!.waste + 1e-9 && d > best!.endS - best!.startS))
        best = { job, startS, endS, waste };
    }
    if (!best || best.startS === Infinity) throw cannotPlan(problem, [...waiting][0] as number);
    waiting.delete(best.job);
    runs.push({ job: best.job, machine, startS: best.startS, endS: best.endS });
    ready[machine] = best.endS;
    used[machine] = true;
  }
  return runs;
}

export function sequencesOf(problem: Problem, runs: readonly Run[]): number[][] {
  const out = problem.machines.map((): number[] => []);
  for (const run of [...runs].sort((a, b) => a.startS - b.startS || a.endS - b.endS))
    out[run.machine]?.push(run.job);
  return out;
}

export function cannotPlan(problem: Problem, job: number): ScantlingError {
  const name = problem.jobs[job]?.id ?? '';
  const hours = (shortest(problem, job) / 3600).toFixed(1);
  return new ScantlingError(
    'CANNOT_PLAN',
    Number.isFinite(shortest(problem, job))
      ? `No time was found at which "${name}" (${hours} h) may start, run and end.`
      : `"${name}" goes on none of the machines.`,
    { remedy: 'Widen the attended hours, ease the quiet hours, or split the part.' },
  );
}

export type { Sequences };
