import type { Context } from '../context.ts';
import { ScantlingError } from '../errors.ts';
import { progressOf, type Attempt } from '../kit/index.ts';
import { instantOf, isoIn, localDateOf, nextDate, zoneOf } from './clock.ts';
import { hoursOf, isInside, nextInside, timeInside, type Hours, type Spans } from './hours.ts';
import { costOf, type Job, type MachineState, type Problem, type Run } from './jobs.ts';
import { fedRuns, feed, type Draw } from './feeding.ts';
import { runningOf, type Running as Started } from './running.ts';
import { outlinesOf, placementsOf } from './lying.ts';
import { fileOrder, listSchedule } from './list.ts';
import {
  sharedPlates,
  singlePlates,
  type PlanMachine,
  type PlanPiece,
  type PlateLoad,
} from './plates.ts';
import type { Plan, PlannedPrint } from './schema.ts';
import { solve, type Solution } from './search.ts';
import type { ScheduleSettings } from './settings.ts';
import { spoolWalk } from './spools.ts';

export interface PlanRequest extends Context {
  readonly pieces: readonly PlanPiece[];
  readonly machines: readonly PlanMachine[];
  readonly settings: ScheduleSettings;
  /** Beginning of the plan, s since 1970. */
  readonly fromS: number;
  readonly dueS?: number | undefined;
  /** Groups in the order they are wanted; groups not named come last. Empty: any order. */
  readonly groupOrder?: readonly string[];
  /** Tries from the log (`attemptsOf`). */
  readonly attempts?: readonly Attempt[];
  readonly spoolG?: (material: string) => number;
}

export const UNATTENDED_CAUTION =
  'This plan lets machines print with nobody there. A heated machine can set fire to its ' +
  'surroundings: a working smoke alarm in the room, nothing that burns around or above the ' +
  'machine, thermal runaway protection checked, and never where people sleep without an alarm. ' +
  'Follow the maker of your machine and your insurer.';

/** A print that the log says is running, and when it likely ends. */
interface Running extends Started {
  readonly endS: number;
}

/**
 * Plans all pieces that are not done: finish first, then idle machine hours, then early starts.
 * Plates are tried one piece each and shared; the better plan stays. What the log says is printing
 * counts from its real start; what failed is planned anew. What prints on a machine that is not
 * here is left out, never planned a second time.
 * @throws ScantlingError `CANNOT_PLAN`, `UNKNOWN_ZONE`, `CANCELLED`
 */
export function planPrints(request: PlanRequest): Plan {
  const { machines, settings, fromS } = request;
  const zone = zoneOf(settings.timeZone);
  const iso = (s: number): string => isoIn(zone, s);
  const last = progressOf(request.attempts ?? []);
  const done = request.pieces.filter((p) => last.get(p.id)?.state === 'done');
  const now = runningOf(request, last);
  const { elsewhere, remarks } = now;
  const busy = new Set([...now.running.flatMap((r) => r.load.pieces.map((p) => p.id)), ...elsewhere.map((e) => e.piece)]); // prettier-ignore
  const open = request.pieces.filter((p) => last.get(p.id)?.state !== 'done' && !busy.has(p.id));
  const leftOut = [
    ...elsewhere,
    ...open
      .filter((p) => machines.every((m) => !p.on[m.name]))
      .map((p) => ({ piece: p.id, because: 'goes on none of the machines' })),
  ];
  const toPrint = open.filter((p) => machines.some((m) => p.on[m.name]));

  const work = toPrint.reduce((s, p) => s + Math.max(...Object.values(p.on).map((o) => o.hours.likelyH)), 0); // prettier-ignore
  const spoolG = request.spoolG ?? ((): number => 1000);
  const drawOn = (load: PlateLoad, machine: string): Draw =>
    drawOf(load, machine, spoolG, settings);
  // The calendar begins where the first print began that still runs.
  const sinceS = Math.max(
    fromS - 60 * 86_400,
    Math.min(fromS, ...now.running.map((r) => r.startS)),
  );
  const calendar = (days: number): Hours => hoursOf(settings, sinceS, days + Math.ceil((fromS - sinceS) / 86_400)); // prettier-ignore
  const early = calendar(30);
  const running = now.running.map((r) => {
    const { endS } = feed(early, r.startS, (r.load.on[r.machine]?.hours.likelyH ?? 0) * 3600, drawOn(r.load, r.machine)); // prettier-ignore
    // A print that should have ended may end at any moment: from now on.
    return { ...r, endS: Math.max(endS, fromS) };
  });
  const states = machines.map((m) => stateOf(m, running, fromS));
  const ranks = (load: PlateLoad): number => rankOf(load.pieces[0]?.group ?? null, request.groupOrder ?? []); // prettier-ignore
  const problemOf = (loads: readonly PlateLoad[], hours: Hours): Problem => ({
    jobs: loads.map((load): Job => ({
      id: load.pieces.map((p) => p.id).join(' + '),
      durationsS: machines.map((m) => {
        const on = load.on[m.name];
        return on ? on.hours.likelyH * 3600 : null;
      }),
      rank: ranks(load),
    })),
    machines: states,
    hours,
    changeoverS: settings.changeoverMin * 60,
  });
  const alone = singlePlates(toPrint);
  const together = sharedPlates(toPrint, machines, settings);
  const fed = (loads: readonly PlateLoad[], problem: Problem, runs: readonly Run[]) =>
    fedRuns(problem, runs, (job, k) => drawOn(loads[job] as PlateLoad, machines[k]?.name ?? ''));
  const solveOne = (loads: readonly PlateLoad[], hours: Hours) => {
    const problem = problemOf(loads, hours);
    const found = solve(problem, request);
    const runs = fed(loads, problem, found.runs);
    // Where prints stand still, the search did not know; its bound holds all the same.
    const solution = runs === found.runs ? found : { ...found, runs, cost: costOf(problem, runs), optimal: false }; // prettier-ignore
    return { hours, loads, solution };
  };
  const solveAll = (hours: Hours) =>
    (together.length < alone.length ? [together, alone] : [alone])
      .map((loads) => solveOne(loads, hours))
      .reduce((a, b) => (b.solution.cost.finishS < a.solution.cost.finishS - 0.5 ? b : a));
  // A calendar of the usual length first; a long one only for workshops that are seldom attended.
  const usualDays = 30 + Math.ceil(work / 12);
  const best = withLonger(
    () => solveAll(calendar(usualDays)),
    () => solveAll(calendar(Math.min(3650, usualDays + 8 * toPrint.length))),
  );
  const hours = best.hours;
  const { solution, loads } = best;
  const prints = printsOf(request, hours, running, loads, solution, drawOn, iso);
  const finishS = Math.max(solution.cost.finishS, fromS, ...running.map((r) => r.endS));
  const inFileOrder = toPrint.length > 0 ? inFileOrderS(problemOf(alone, hours), (p, runs) => fed(alone, p, runs)) : null; // prettier-ignore
  const boundS = Math.max(solution.bound.finishS, ...running.map((r) => r.endS));
  const span = finishS - fromS;
  const attended = wholeDays(hours.attended, zone, fromS, finishS).map(([from, to]) => ({ from: iso(from), to: iso(to) })); // prettier-ignore

  return {
    schema: 'scantling/plan@1',
    timeZone: settings.timeZone,
    from: iso(fromS),
    finish: iso(finishS),
    hours: span / 3600,
    bound: {
      finish: iso(boundS),
      because: solution.bound.because,
      machines: solution.bound.machines.map((k) => machines[k]?.name ?? ''),
      gapH: Math.max(0, finishS - boundS) / 3600,
      gapShare: boundS > fromS ? Math.max(0, finishS - boundS) / (boundS - fromS) : 0,
    },
    optimal: solution.optimal,
    method: solution.method,
    fileOrder: inFileOrder === null ? null : { finish: iso(inFileOrder), laterH: (inFileOrder - finishS) / 3600 }, // prettier-ignore
    due: request.dueS === undefined ? null : { at: iso(request.dueS), lateH: (finishS - request.dueS) / 3600 }, // prettier-ignore
    machines: machines.map((m, k) => ({
      ...machineSum(m.name, k, solution, running, fromS, span),
      hoursModel: m.hoursModel ?? null,
      attended,
    })),
    prints: prints.map((p) => p.print),
    groups: groupsOf(request, prints, iso),
    spools: machines.flatMap((m) =>
      spoolWalk(
        prints.flatMap(({ print, startS, durationS, load }) =>
          print.machine === m.name ? [{ ...drawOn(load, m.name), print: print.print, material: print.material, startS, durationS }] : []), // prettier-ignore
        hours,
      ).map((s) => ({
        machine: m.name,
        ...s,
        // What lies before the beginning was done then.
        changes: s.changes
          .filter((c) => c.atS >= fromS)
          .map(({ atS, ...c }) => ({ ...c, at: iso(atS), attended: c.kind !== 'dry' })),
      })),
    ),
    done: done.map((p) => p.id),
    leftOut,
    remarks: [...remarks],
    cautions: prints.some((p) => p.print.runsUnattendedH > 0) ? [UNATTENDED_CAUTION] : [],
  };
}

function withLonger<T>(first: () => T, longer: () => T): T {
  try {
    return first();
  } catch (error) {
    if (error instanceof ScantlingError && error.code === 'CANNOT_PLAN') return longer();
    throw error;
  }
}

const inFileOrderS = (
  problem: Problem,
  fed: (problem: Problem, runs: readonly Run[]) => readonly Run[],
): number => costOf(problem, fed(problem, listSchedule(problem, fileOrder(problem)))).finishS;

/** What a plate draws from full spools on a machine. */
function drawOf(
  load: PlateLoad,
  machine: string,
  spoolG: (material: string) => number,
  settings: ScheduleSettings,
): Draw {
  const hours = load.on[machine]?.hours;
  return {
    massG: load.pieces.reduce((s, p) => s + p.massG, 0),
    usableG: spoolG(load.pieces[0]?.material ?? '') * (1 - settings.spoolReserveShare),
    lowShare: hours && hours.likelyH > 0 ? hours.lowH / hours.likelyH : 1,
  };
}

function stateOf(machine: PlanMachine, running: readonly Running[], fromS: number): MachineState {
  const now = running.find((r) => r.machine === machine.name);
  return { name: machine.name, freeAtS: Math.max(fromS, now?.endS ?? fromS), plateClear: !now };
}

/** 0 when no order is wanted; groups not named rank last. */
function rankOf(group: string | null, order: readonly string[]): number {
  const at = group === null ? -1 : order.indexOf(group);
  return at < 0 ? order.length : at;
}

type Zone = ReturnType<typeof zoneOf>;

interface Timed {
  readonly print: PlannedPrint;
  readonly load: PlateLoad;
  readonly startS: number;
  readonly endS: number;
  /** Likely running time, standing still left out, s. */
  readonly durationS: number;
}

function printsOf(
  request: PlanRequest,
  hours: Hours,
  running: readonly Running[],
  loads: readonly PlateLoad[],
  solution: Solution,
  drawOn: (load: PlateLoad, machine: string) => Draw,
  iso: (s: number) => string,
): Timed[] {
  const all = [
    ...running.map((r) => ({ ...r, running: true })),
    ...solution.runs.map((run: Run) => ({
      load: loads[run.job] as PlateLoad,
      machine: request.machines[run.machine]?.name ?? '',
      startS: run.startS,
      endS: run.endS,
      running: false,
    })),
  ].sort((a, b) => a.startS - b.startS || a.machine.localeCompare(b.machine, 'en'));
  return all.map(({ load, machine, startS, endS, running: isRunning }, i): Timed => {
    const on = load.on[machine];
    const pieces = load.pieces;
    const likelyS = (on?.hours.likelyH ?? 0) * 3600;
    const { waitS } = feed(hours, startS, likelyS, drawOn(load, machine));
    const durationS = isRunning ? endS - startS - waitS : likelyS;
    return {
      load,
      startS,
      endS,
      durationS: likelyS,
      print: {
        print: i + 1,
        machine,
        pieces: pieces.map((p) => p.id),
        group: pieces[0]?.group ?? null,
        material: pieces[0]?.material ?? '',
        massG: pieces.reduce((s, p) => s + p.massG, 0),
        start: iso(startS),
        end: iso(endS),
        hours: durationS / 3600,
        hoursLow: on?.hours.lowH ?? 0,
        hoursHigh: on?.hours.highH ?? 0,
        running: isRunning,
        endsUnattended: !isInside(hours.attended, endS),
        waitsH: waitS / 3600,
        runsUnattendedH: (endS - startS - timeInside(hours.attended, startS, endS)) / 3600,
        clear: iso(nextInside(hours.attended, endS)),
        layout:
          on?.layout?.map((p) => ({
            piece: pieces[p.index]?.id ?? '',
            turnDeg: p.turnDeg,
            xMm: p.xMm,
            yMm: p.yMm,
          })) ?? null,
        placements: placementsOf(load, machine),
        outlines: outlinesOf(load, machine),
      },
    };
  });
}

function machineSum(
  name: string,
  k: number,
  solution: Solution,
  running: readonly Running[],
  fromS: number,
  span: number,
): Omit<Plan['machines'][number], 'attended' | 'hoursModel'> {
  const runs = solution.runs.filter((r) => r.machine === k).sort((a, b) => a.startS - b.startS);
  const now = running.find((r) => r.machine === name);
  let free = Math.max(fromS, now?.endS ?? fromS);
  let busyS = free - fromS;
  let idleS = 0;
  for (const r of runs) {
    idleS += r.startS - free;
    busyS += r.endS - r.startS;
    free = r.endS;
  }
  return {
    name,
    prints: runs.length + (now ? 1 : 0),
    busyH: busyS / 3600,
    busyShare: span > 0 ? busyS / span : 0,
    idleH: idleS / 3600,
  };
}

/** The spans cut to the days that the plan touches, midnight to midnight. */
function wholeDays(spans: Spans, zone: Zone, fromS: number, toS: number): [number, number][] {
  const first = instantOf(zone, localDateOf(zone, fromS), 0);
  const end = instantOf(zone, nextDate(localDateOf(zone, toS)), 0);
  const out: [number, number][] = [];
  for (let k = 0; k < spans.length; k += 2) {
    const [a, b] = [Math.max(first, spans[k] as number), Math.min(end, spans[k + 1] as number)];
    if (b > a) out.push([a, b]);
  }
  return out;
}

function groupsOf(
  request: PlanRequest,
  prints: readonly Timed[],
  iso: (s: number) => string,
): Plan['groups'] {
  const ends = new Map<string | null, { pieces: number; endS: number }>();
  for (const { print, endS } of prints) {
    const known = ends.get(print.group) ?? { pieces: 0, endS: -Infinity };
    ends.set(print.group, { pieces: known.pieces + print.pieces.length, endS: Math.max(known.endS, endS) }); // prettier-ignore
  }
  const order = request.groupOrder ?? [];
  return [...ends]
    .sort(([a, x], [b, y]) => rankOf(a, order) - rankOf(b, order) || x.endS - y.endS)
    .map(([group, { pieces, endS }]) => ({ group, pieces, complete: iso(endS) }));
}
