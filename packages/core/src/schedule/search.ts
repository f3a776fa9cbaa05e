import { checkCancelled, DEFAULT_SEED, type Context } from '../context.ts';
import { seededRandom } from '../math/index.ts';
import { lowerBound, type LowerBound } from './bounds.ts';
import { exactSequences } from './exact.ts';
import {
  compareCost,
  costOf,
  durationOf,
  runsOf,
  startOf,
  type Cost,
  type Problem,
  type Run,
} from './jobs.ts';
import {
  fileOrder,
  leastWaste,
  listSchedule,
  longestFirst,
  sequencesOf,
  shortestFirst,
} from './list.ts';

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
  /** Moves tried by the local search; it stops earlier once the bound is met. Default 60000. */
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
      bound: { finishS: cost.finishS, because: 'all-plans' },
      optimal: true,
      method: tie?.method ?? 'exact',
    };
  }
  const first = starts[0];
  if (!first) throw new Error('list scheduling returned nothing');
  const bound = lowerBound(problem, first.cost.finishS);
  const found = anneal(problem, first.runs, bound.finishS, options);
  const better = compareCost(found.cost, first.cost) < 0 ? found : first;
  return {
    runs: better.runs,
    cost: better.cost,
    bound,
    optimal: false,
    method: better === found ? 'local-search' : first.method,
  };
}

/** One machine's sequence played through: its end, its waiting, its starts. */
interface Lane {
  readonly jobs: number[];
  readonly endS: number;
  readonly idleS: number;
  readonly startsS: number;
}

function anneal(
  problem: Problem,
  from: readonly Run[],
  boundS: number,
  options: SearchOptions,
): { runs: Run[]; cost: Cost } {
  const random = seededRandom(options.seed ?? DEFAULT_SEED);
  const moves = options.moves ?? 60_000;
  const origin = Math.min(...problem.machines.map((m) => m.freeAtS));
  const play = (jobs: number[], machine: number): Lane => {
    let ready = problem.machines[machine]?.freeAtS ?? 0;
    let idleS = 0;
    let startsS = 0;
    for (let i = 0; i < jobs.length; i++) {
      const job = jobs[i] as number;
      const s = startOf(problem, job, machine, ready, i === 0);
      idleS += s - ready;
      startsS += s - origin;
      ready = s + (durationOf(problem, job, machine) ?? Infinity);
    }
    return { jobs, endS: ready, idleS, startsS };
  };
  let lanes = sequencesOf(problem, from).map(play);
  const n = problem.jobs.length;
  // One number to walk on: the finish leads, the other aims break ties and give it a slope.
  const energy = (l: readonly Lane[]): number => {
    let finish = 0;
    let ends = 0;
    let starts = 0;
    for (const lane of l) {
      finish = Math.max(finish, lane.endS - origin);
      ends += lane.endS - origin;
      starts += lane.startsS;
    }
    return finish + (0.05 * ends) / l.length + (0.002 * starts) / n;
  };
  let now = energy(lanes);
  let best = lanes;
  let bestCost = costOfLanes(lanes, origin);
  const hot = Math.max(600, 0.02 * (bestCost.finishS - origin));
  for (let i = 0; i < moves; i++) {
    if ((i & 1023) === 0) {
      checkCancelled(options);
      options.progress?.(i / moves, 'plan');
      if (bestCost.finishS <= boundS + 0.5 && i > moves / 4) break;
    }
    const next = neighbour(problem, lanes, random, play);
    if (!next) continue;
    const e = energy(next);
    const temperature = hot * Math.pow(1e-3, i / moves);
    if (e <= now || random() < Math.exp((now - e) / temperature)) {
      lanes = next;
      now = e;
      const cost = costOfLanes(lanes, origin);
      if (compareCost(cost, bestCost) < 0) {
        best = lanes;
        bestCost = cost;
      }
    }
  }
  const runs = runsOf(problem, best.map((lane) => lane.jobs)); // prettier-ignore
  return { runs, cost: costOf(problem, runs) };
}

const costOfLanes = (lanes: readonly Lane[], origin: number): Cost => ({
  finishS: Math.max(origin, ...lanes.map((l) => l.endS)),
  idleS: lanes.reduce((a, l) => a + l.idleS, 0),
  startsS: lanes.reduce((a, l) => a + l.startsS, 0),
});

/** Two jobs change places, or one moves; null when ranks or machines forbid it. */
function neighbour(
  problem: Problem,
  lanes: readonly Lane[],
  random: () => number,
  play: (jobs: number[], machine: number) => Lane,
): Lane[] | null {
  const pick = (k: number): number => Math.floor(random() * k);
  const a = pick(lanes.length);
  const b = pick(lanes.length);
  const from = lanes[a]?.jobs ?? [];
  if (from.length === 0) return null;
  const i = pick(from.length);
  const to = lanes[b]?.jobs ?? [];
  const left = [...from];
  const right = a === b ? left : [...to];
  if (random() < 0.5) {
    if (right.length === 0) return null;
    const j = pick(right.length);
    const x = left[i] as number;
    left[i] = right[j] as number;
    right[j] = x;
  } else {
    const job = left.splice(i, 1)[0] as number;
    right.splice(pick(right.length + 1), 0, job);
  }
  if (!allowed(problem, left, a) || !allowed(problem, right, b)) return null;
  const next = [...lanes];
  next[a] = play(left, a);
  if (a !== b) next[b] = play(right, b);
  return next;
}

function allowed(problem: Problem, jobs: readonly number[], machine: number): boolean {
  let rank = -Infinity;
  for (const job of jobs) {
    const r = problem.jobs[job]?.rank ?? 0;
    if (r < rank || durationOf(problem, job, machine) === null) return false;
    rank = r;
  }
  return true;
}
