import { durationOf, startOf, type Problem } from './jobs.ts';

/** Work that still counts as a small case: table entries times machines. */
export const EXACT_LIMIT = 1_000_000;

/**
 * The optimum by dynamic programming over sets of jobs, or null when the case is too large.
 * Equal jobs (same times, same rank) are counted, not told apart. To be done earlier with the same
 * set never hurts (see `earliestStart`), so the earliest end per set and machine is all that is
 * kept: first table, f_m(set) = min over the last job; second, the sets are shared out among the
 * machines with the least finish, and within it the least idle time. Both are proved least; the
 * sum of starts, third in the order, is not looked at here.
 * Cost: machine by machine the number of sets, and for the sharing out of three or more machines
 * the number of pairs of sets, one within the other.
 */
export function exactSequences(problem: Problem, limit = EXACT_LIMIT): number[][] | null {
  const classes = classesOf(problem);
  const counts = classes.map((c) => c.length);
  const sets = counts.reduce((n, c) => n * (c + 1), 1);
  const m = problem.machines.length;
  const pairs = counts.reduce((n, c) => (n * ((c + 1) * (c + 2))) / 2, 1);
  if (sets * m > limit || (m > 2 && pairs * (m - 1) > 4 * limit)) return null;

  const places = counts.map((_, i) => counts.slice(0, i).reduce((n, c) => n * (c + 1), 1));
  const tables = problem.machines.map((_, machine) =>
    ends(problem, classes, places, sets, machine),
  );
  const shares = shareOut(problem, classes, places, sets, tables);
  if (!shares) return null;
  const left = classes.map((c) => [...c]);
  return shares.map((set, machine) => {
    const sequence: number[] = [];
    for (let x = set; x > 0;) {
      const c = tables[machine]?.last[x] ?? 0;
      sequence.push(left[c]?.pop() as number);
      x -= places[c] as number;
    }
    return sequence.reverse();
  });
}

interface Table {
  /** Earliest end per set, s; Infinity where the machine cannot print it. */
  readonly end: Float64Array;
  /** Class of the last job in that schedule. */
  readonly last: Int16Array;
  /** Printing time in that set on this machine, s. */
  readonly work: Float64Array;
}

function classesOf(problem: Problem): number[][] {
  const byKey = new Map<string, number[]>();
  problem.jobs.forEach((job, i) => {
    const key = `${job.rank}|${job.durationsS.join('|')}`;
    const known = byKey.get(key);
    if (known) known.push(i);
    else byKey.set(key, [i]);
  });
  return [...byKey.values()].sort(
    (a, b) => (problem.jobs[a[0] as number]?.rank ?? 0) - (problem.jobs[b[0] as number]?.rank ?? 0),
  );
}

/** How many of class c are in the set with index x. */
const countIn = (x: number, place: number, size: number): number =>
  Math.floor(x / place) % (size + 1);

function ends(
  problem: Problem,
  classes: readonly number[][],
  places: readonly number[],
  sets: number,
  machine: number,
): Table {
  const end = new Float64Array(sets).fill(Infinity);
  const last = new Int16Array(sets).fill(-1);
  const work = new Float64Array(sets);
  end[0] = problem.machines[machine]?.freeAtS ?? 0;
  for (let x = 1; x < sets; x++) {
    let rank = -Infinity;
    // Classes come by rising rank; the last job of a set is one of its highest rank.
    for (let c = classes.length - 1; c >= 0; c--) {
      const place = places[c] as number;
      const members = classes[c] as number[];
      if (countIn(x, place, members.length) === 0) continue;
      const job = members[0] as number;
      const r = problem.jobs[job]?.rank ?? 0;
      if (r < rank) break;
      rank = r;
      const before = x - place;
      const d = durationOf(problem, job, machine);
      if (d === null || end[before] === Infinity) continue;
      const e = startOf(problem, job, machine, end[before] as number, before === 0) + d;
      if (e < (end[x] as number)) {
        end[x] = e;
        last[x] = c;
        work[x] = (work[before] as number) + d;
      }
    }
  }
  return { end, last, work };
}

/** Sets per machine with the least finish, then the least idle time; null if nothing is feasible. */
function shareOut(
  problem: Problem,
  classes: readonly number[][],
  places: readonly number[],
  sets: number,
  tables: readonly Table[],
): number[] | null {
  const all = sets - 1;
  const m = tables.length;
  const idle = (k: number, x: number): number => {
    const t = tables[k] as Table;
    return x === 0 ? 0 : (t.end[x] as number) - (problem.machines[k]?.freeAtS ?? 0) - (t.work[x] as number); // prettier-ignore
  };
  const endOf = (k: number, x: number): number => (x === 0 ? -Infinity : (tables[k]?.end[x] as number)); // prettier-ignore

  // finish[k][x]: least finish of set x on machines 0..k.
  const finish: Float64Array[] = [Float64Array.from({ length: sets }, (_, x) => endOf(0, x))];
  for (let k = 1; k < m; k++) {
    const before = finish[k - 1] as Float64Array;
    const now = new Float64Array(sets).fill(Infinity);
    for (const x of k === m - 1 ? [all] : range(sets))
      eachSubset(x, classes, places, (y) => {
        const f = Math.max(endOf(k, y), before[x - y] as number);
        if (f < (now[x] as number)) now[x] = f;
      });
    finish.push(now);
  }
  const best = finish[m - 1]?.[all] as number;
  if (best === Infinity) return null;

  const limit = best + 1e-6;
  const cost: Float64Array[] = [
    Float64Array.from({ length: sets }, (_, x) => (endOf(0, x) <= limit ? idle(0, x) : Infinity)),
  ];
  const choice: Int32Array[] = [new Int32Array(sets).map((_, x) => x)];
  for (let k = 1; k < m; k++) {
    const before = cost[k - 1] as Float64Array;
    const now = new Float64Array(sets).fill(Infinity);
    const chosen = new Int32Array(sets);
    for (const x of k === m - 1 ? [all] : range(sets))
      eachSubset(x, classes, places, (y) => {
        if (endOf(k, y) > limit) return;
        const f = idle(k, y) + (before[x - y] as number);
        if (f < (now[x] as number)) {
          now[x] = f;
          chosen[x] = y;
        }
      });
    cost.push(now);
    choice.push(chosen);
  }
  const shares = new Array<number>(m).fill(0);
  for (let k = m - 1, x = all; k >= 0; k--) {
    shares[k] = choice[k]?.[x] as number;
    x -= shares[k] as number;
  }
  return shares;
}

const range = (n: number): number[] => Array.from({ length: n }, (_, i) => i);

/** Calls `visit` with the index of every set inside set x, the empty one and x itself included. */
function eachSubset(
  x: number,
  classes: readonly number[][],
  places: readonly number[],
  visit: (y: number) => void,
): void {
  const walk = (c: number, y: number): void => {
    if (c < 0) {
      visit(y);
      return;
    }
    const place = places[c] as number;
    const n = countIn(x, place, (classes[c] as number[]).length);
    for (let i = 0; i <= n; i++) walk(c - 1, y + i * place);
  };
  walk(classes.length - 1, 0);
}
