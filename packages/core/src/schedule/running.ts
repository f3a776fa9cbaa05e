import type { Attempt } from '../kit/index.ts';
import type { PlanMachine, PlanPiece, PlateLoad } from './plates.ts';

/** A print that the log says is running. */
export interface Running {
  readonly load: PlateLoad;
  readonly machine: string;
  readonly startS: number;
}

export interface RunningNow {
  readonly running: readonly Running[];
  /** Pieces that print on a machine that is not known here. */
  readonly elsewhere: readonly { readonly piece: string; readonly because: string }[];
  /** What had to be taken for granted, in plain words. */
  readonly remarks: readonly string[];
}

/**
 * What prints now. Pieces started on one machine and not ended share its plate; their hours add up.
 * Without a machine in the log the first one that takes the piece is assumed, and told.
 * @param last where each piece stands (`progressOf`)
 */
export function runningOf(
  request: {
    readonly pieces: readonly PlanPiece[];
    readonly machines: readonly PlanMachine[];
    readonly fromS: number;
  },
  last: ReadonlyMap<string, Attempt>,
): RunningNow {
  const { machines, fromS } = request;
  const printing = request.pieces.filter((p) => last.get(p.id)?.state === 'printing');
  const remarks: string[] = [];
  const machineOf = (p: PlanPiece): string | undefined =>
    last.get(p.id)?.machine ?? machines.find((m) => p.on[m.name])?.name ?? machines[0]?.name;
  const elsewhere = printing
    .filter((p) => machines.every((m) => m.name !== machineOf(p)))
    .map((p) => ({ piece: p.id, because: `prints now on ${machineOf(p) ?? '?'}, which is no machine of this workshop` })); // prettier-ignore
  for (const p of printing)
    if (last.get(p.id)?.machine === null)
      remarks.push(`The log names no machine for ${p.id}, which prints now: taken to be on ${machineOf(p) ?? '?'}.`); // prettier-ignore
  const running = machines.flatMap((machine): Running[] => {
    const on = printing.filter((p) => machineOf(p) === machine.name);
    if (on.length === 0) return [];
    const starts = on.map((p) => last.get(p.id)?.startS ?? fromS);
    const startS = Math.min(...starts);
    if (Math.max(...starts) > startS)
      remarks.push(`The log says that ${on.map((p) => p.id).join(' and ')} all print on ${machine.name}, though started at different times: log how those before ended. Taken as one plate.`); // prettier-ignore
    for (const p of on)
      if (!p.on[machine.name])
        remarks.push(`${p.id} prints on ${machine.name} according to the log, where no way to print it was found; its hours are those of another machine.`); // prettier-ignore
    const hoursOn = (p: PlanPiece) => (p.on[machine.name] ?? Object.values(p.on)[0])?.hours;
    const sum = (key: 'lowH' | 'likelyH' | 'highH'): number =>
      on.reduce((s, p) => s + (hoursOn(p)?.[key] ?? 0), 0);
    const likelyH = sum('likelyH') - (on.length - 1) * machine.heatingH;
    const hours = { lowH: Math.min(likelyH, sum('lowH')), likelyH, highH: Math.max(likelyH, sum('highH')) }; // prettier-ignore
    const load: PlateLoad = { pieces: on, on: { [machine.name]: { hours, layout: null } } };
    return [{ load, machine: machine.name, startS }];
  });
  return { running, elsewhere, remarks };
}
