import type { Context } from '../context.ts';
import { anneal } from './anneal.ts';
import { lowerBound, type LowerBound } from './bounds.ts';
import { exactSequences } from './exact.ts';
import { compareCost, costOf, runsOf, type Cost, type Problem, type Run } from './jobs.ts';
import { fileOrder, leastWaste, listSchedule, longestFirst, shortestFirst } from './list.ts';

export interface Solution {
  readonly runs: readonly Run[];
  readonly cost: Cost;
  readonly bound: LowerBound;
  /** True when finish and idle time are proved least, not only bounded. */
  readonly optimal: boolean;
  /** What found it: the exact method, a list rule, or the local search. */
  readonly method:
    'exact' | 'file-order' | 'longest-first' | 'shortest-first' | 'least-waste' | 'local-search';
}

export interface SearchOptions extends Context {
  /** Moves tried by the local search; it stops earlier once it is within a minute of the bound. Default 60000. */
  readonly moves?: number;
}

/**
 * The best plan found: exactly for small cases, else from the list rules by simulated annealing
 * (Kirkpatrick, Gelatt & Vecchi, Science 220 (1983) 671) over the machines' sequences, with the
 * proved bound beside it. Same seed, same plan.
 * @throws ScantlingError `CANNOT_PLAN`, `CANCELLED`
 */
export function solve(problem: Problem, options: SearchOptions = {}): Solution {
  if (problem.jobs.length === 0) {
    const cost = costOf(problem, []);
    return {
      runs: [],
      cost,
      bound: lowerBound(problem, cost.finishS),
      optimal: true,
      method: 'exact',
    };
  }
  const starts = (
    [
      ['least-waste', () => leastWaste(problem)],
      ['longest-first', () => listSchedule(problem, longestFirst(problem))],
      ['shortest-first', () => listSchedule(problem, shortestFirst(problem))],
      ['file-order', () => listSchedule(problem, fileOrder(problem))],
    ] as const
  )
    .map(([method, make]) => {
      const runs = make();
      return { method, runs, cost: costOf(problem, runs) };
    })
    .filter((s) => Number.isFinite(s.cost.finishS))
    .sort((a, b) => compareCost(a.cost, b.cost));

  const exact = exactSequences(problem);
  if (exact) {
    const runs = runsOf(problem, exact);
    const cost = costOf(problem, runs);
    // The third aim, early starts, is left to the other rules where finish and idle time tie.
    const tie = starts.find((s) => compareCost(s.cost, cost) < 0);
    return {
      runs: tie?.runs ?? runs,
      cost: tie?.cost ?? cost,
      bound: {
        finishS: cost.finishS,
        because: 'all-plans',
        machines: problem.machines.map((_, k) => k),
      },
      optimal: true,
      method: tie?.method ?? 'exact',
    };
  }
  const first = starts[0];
  if (!first) throw new Error('list scheduling returned nothing');
  const bound = lowerBound(problem, first.cost.finishS);
  const sequences = anneal(problem, first.runs, bound.finishS, options);
  const runs = runsOf(problem, sequences);
  const found = { runs, cost: costOf(problem, runs) };
  const better = compareCost(found.cost, first.cost) < 0 ? found : first;
  return {
    runs: better.runs,
    cost: better.cost,
    bound,
    optimal: false,
    method: better === found ? 'local-search' : first.method,
  };
}
