import { checkCancelled, DEFAULT_SEED, type Context } from '../context.ts';
import { seededRandom } from '../math/index.ts';
import { earliestStart } from './hours.ts';
import { compareCost, handlingBefore, type Cost, type Problem, type Run } from './jobs.ts';
import { sequencesOf } from './list.ts';

/**
 * One machine's sequence played through. `ends`, `idles` and `starts` hold the running sums after
 * each job, one entry more than jobs; what precedes a change is taken over from the lane before.
 */
interface Lane {
  readonly jobs: readonly number[];
  readonly ends: readonly number[];
  readonly idles: readonly number[];
  readonly starts: readonly number[];
}
const lastOf = (sums: readonly number[]): number => sums[sums.length - 1] as number;

type Play = (machine: number, jobs: readonly number[], old?: Lane) => Lane | null;

/**
 * Simulated annealing (Kirkpatrick, Gelatt & Vecchi, Science 220 (1983) 671) over the machines'
 * sequences: two jobs change places, or one moves. Ends within a minute of the bound.
 */
export function anneal(
  problem: Problem,
  from: readonly Run[],
  boundS: number,
  options: Context & { readonly moves?: number },
): number[][] {
  const random = seededRandom(options.seed ?? DEFAULT_SEED);
  const moves = options.moves ?? 60_000;
  const origin = Math.min(...problem.machines.map((m) => m.freeAtS));
  const play = player(problem, origin);
  let lanes = sequencesOf(problem, from).map((jobs, k) => play(k, jobs) as Lane);
  let now = energy(lanes, origin);
  let best = lanes;
  let bestCost = costOfLanes(lanes, origin);
  const hot = Math.max(600, 0.02 * (bestCost.finishS - origin));
  for (let i = 0; i < moves; i++) {
    if ((i & 1023) === 0) {
      checkCancelled(options);
      options.progress?.(i / moves, 'plan');
      if (bestCost.finishS <= boundS + 60 && i > moves / 4) break;
    }
    const next = neighbour(lanes, random, play);
    if (!next) continue;
    const e = energy(next, origin);
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
  return best.map((lane) => [...lane.jobs]);
}

/** Plays lanes from plain tables; null for a lane that ranks or machines forbid. */
function player(problem: Problem, origin: number): Play {
  const { hours } = problem;
  const ranks = problem.jobs.map((job) => job.rank);
  const times = problem.machines.map((_, k) => problem.jobs.map((job) => job.durationsS[k] ?? null)); // prettier-ignore
  const first = problem.machines.map((_, k) => handlingBefore(problem, k, true));
  return (machine, jobs, old) => {
    let from = 0;
    if (old) while (from < jobs.length && jobs[from] === old.jobs[from]) from++;
    const ends = old ? old.ends.slice(0, from + 1) : [problem.machines[machine]?.freeAtS ?? 0];
    const idles = old ? old.idles.slice(0, from + 1) : [0];
    const starts = old ? old.starts.slice(0, from + 1) : [0];
    const own = times[machine] as (number | null)[];
    let rank = from > 0 ? (ranks[jobs[from - 1] as number] as number) : -Infinity;
    for (let i = from; i < jobs.length; i++) {
      const job = jobs[i] as number;
      const d = own[job] as number | null;
      const r = ranks[job] as number;
      if (d === null || r < rank) return null;
      rank = r;
      const ready = ends[i] as number;
      const handling = i === 0 ? (first[machine] as number) : problem.changeoverS;
      const s = earliestStart(hours, ready, d, handling);
      ends.push(s + d);
      idles.push((idles[i] as number) + s - ready);
      starts.push((starts[i] as number) + s - origin);
    }
    return { jobs, ends, idles, starts };
  };
}

/** One number to walk on, s: the finish leads, the other aims break ties and give it a slope. */
function energy(lanes: readonly Lane[], origin: number): number {
  let finish = 0;
  let ends = 0;
  let starts = 0;
  let jobs = 0;
  for (const lane of lanes) {
    const end = lastOf(lane.ends) - origin;
    finish = Math.max(finish, end);
    ends += end;
    starts += lastOf(lane.starts);
    jobs += lane.jobs.length;
  }
  return finish + (0.05 * ends) / lanes.length + (0.002 * starts) / jobs;
}

const costOfLanes = (lanes: readonly Lane[], origin: number): Cost => ({
  finishS: Math.max(origin, ...lanes.map((l) => lastOf(l.ends))),
  idleS: lanes.reduce((a, l) => a + lastOf(l.idles), 0),
  startsS: lanes.reduce((a, l) => a + lastOf(l.starts), 0),
});

/** Two jobs change places, or one moves; null when that is forbidden. */
function neighbour(lanes: readonly Lane[], random: () => number, play: Play): Lane[] | null {
  const pick = (k: number): number => Math.floor(random() * k);
  const a = pick(lanes.length);
  const b = pick(lanes.length);
  const left = [...(lanes[a]?.jobs ?? [])];
  if (left.length === 0) return null;
  const right = a === b ? left : [...(lanes[b]?.jobs ?? [])];
  const i = pick(left.length);
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
  const next = [...lanes];
  const one = play(a, left, lanes[a]);
  if (!one) return null;
  next[a] = one;
  if (a === b) return next;
  const other = play(b, right, lanes[b]);
  if (!other) return null;
  next[b] = other;
  return next;
}
