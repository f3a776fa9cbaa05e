import { lastInside, nextInside, overlaps, spanAt, type Hours } from './hours.ts';
import { durationOf, handlingBefore, startOf, type Problem, type Run } from './jobs.ts';
import { cannotPlan, sequencesOf } from './list.ts';

/** What a print draws from its spools. */
export interface Draw {
  readonly massG: number;
  /** What a full spool gives without its reserve, g. */
  readonly usableG: number;
  /** Low running time over the likely one. */
  readonly lowShare: number;
}

/** A spool changed while a print runs. */
export interface MidChange {
  /**
   * `when-empty`: somebody is there when it runs out. `early`: nobody likely will be, so it is
   * changed at the last moment somebody is. `dry`: there is no such moment; the print stands still
   * until somebody comes.
   */
  readonly kind: 'when-empty' | 'early' | 'dry';
  readonly atS: number;
  /** Share of the print done by then. */
  readonly atShare: number;
  /** Left on the spool that is taken off, g. */
  readonly leftG: number;
}

export interface Feeding {
  readonly endS: number;
  /** Standing still for want of filament, s. */
  readonly waitS: number;
  readonly changes: readonly MidChange[];
  /** Left on the last spool, g. */
  readonly restG: number;
}

/**
 * Runs one print that begins with a full spool. Filament is taken as used evenly; a change takes no
 * time of its own. It may be empty as soon as the low estimate says: whoever is there then changes
 * it when empty, or on leaving; if nobody is, it is changed at the last moment before.
 */
export function feed(hours: Hours, startS: number, durationS: number, draw: Draw): Feeding {
  const { massG, usableG, lowShare } = draw;
  const { attended } = hours;
  const changes: MidChange[] = [];
  let putOnS = startS;
  let done = 0;
  let waitS = 0;
  const emptyS = massG > 0 ? (usableG / massG) * durationS : Infinity;
  while (massG * (1 - done) > usableG + 1e-6) {
    const dryS = putOnS + emptyS;
    const low = putOnS + emptyS * lowShare;
    const share = usableG / massG;
    const there = spanAt(attended, low);
    // Somebody is there at the earliest moment it may be empty, and sees how far it is on leaving.
    const last = there ? Math.min(dryS, there[1]) : lastInside(attended, low);
    if (there && last === dryS) {
      done += share;
      putOnS = dryS;
      changes.push({ kind: 'when-empty', atS: dryS, atShare: done, leftG: 0 });
    } else if (last > putOnS) {
      done += (last - putOnS) / durationS;
      const leftG = usableG * (1 - (last - putOnS) / emptyS);
      changes.push({ kind: 'early', atS: last, atShare: done, leftG });
      putOnS = last;
    } else {
      const back = nextInside(attended, dryS);
      done += share;
      waitS += back - dryS;
      changes.push({
        kind: back > dryS ? 'dry' : 'when-empty',
        atS: dryS,
        atShare: done,
        leftG: 0,
      });
      putOnS = back;
      if (back === Infinity) break;
    }
  }
  const endS = putOnS + (1 - done) * durationS;
  return { endS, waitS, changes, restG: usableG - massG * (1 - done) };
}

/** Step in which a later start is looked for, and how far, s. */
const STEP_S = 900;
const FAR_S = 14 * 86_400;

/**
 * The runs again, with prints that stand still for want of filament ending so much later and all
 * that follows on their machine moved. The same array when nothing stands still.
 * @param drawOf what a job draws on a machine
 * @throws ScantlingError `CANNOT_PLAN` when nobody comes any more
 */
export function fedRuns(
  problem: Problem,
  runs: readonly Run[],
  drawOf: (job: number, machine: number) => Draw,
): readonly Run[] {
  const waits = ({ job, machine, startS, endS }: Run): boolean =>
    feed(problem.hours, startS, endS - startS, drawOf(job, machine)).waitS > 0;
  if (!runs.some(waits)) return runs;
  return sequencesOf(problem, runs).flatMap((sequence, machine) => {
    let readyS = problem.machines[machine]?.freeAtS ?? 0;
    return sequence.map((job, i): Run => {
      const run = fedRun(problem, job, machine, readyS, i === 0, drawOf(job, machine));
      readyS = run.endS;
      return run;
    });
  });
}

/** The earliest start from `readyS` on at which the print may run and end, standing still included. */
function fedRun(
  problem: Problem,
  job: number,
  machine: number,
  readyS: number,
  first: boolean,
  draw: Draw,
): Run {
  const { hours } = problem;
  const durationS = durationOf(problem, job, machine) ?? Infinity;
  const handling = handlingBefore(problem, machine, first);
  const start = (from: number): number => startOf(problem, job, machine, from, first);
  const earliest = start(readyS);
  for (
    let startS = earliest;
    startS < earliest + FAR_S;
    startS = start(startS + STEP_S - handling)
  ) {
    const { endS } = feed(hours, startS, durationS, draw);
    if (endS === Infinity) break;
    const ends = overlaps(hours.noEnd, endS, endS);
    if (!ends && !overlaps(hours.noRun, startS, endS)) return { job, machine, startS, endS };
  }
  throw cannotPlan(problem, job);
}
