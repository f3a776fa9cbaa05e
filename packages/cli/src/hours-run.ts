import type { Attempt, HoursModel, Kit, PartEstimate, PrintRecord, Workshop } from '@scantling/core'; // prettier-ignore

/** What the model says of a piece on a machine, before factors; undefined when nothing is known. */
export type Computed = (piece: string, machine: string) => PartEstimate['parts'] | undefined;

export interface MachineHours {
  readonly settings: Workshop['machines'][number]['estimate'];
  readonly model: HoursModel;
}

/**
 * Per machine its hours as fitted to the finished prints of the log, or the default model. An entry
 * without a machine counts only where there is one machine.
 */
export async function machineHours(
  workshop: Workshop,
  attempts: readonly Attempt[],
  computed: Computed,
): Promise<Map<string, MachineHours>> {
  const { hoursModelOf } = await import('@scantling/core');
  const only = workshop.machines.length === 1 ? workshop.machines[0]?.envelope.name : undefined;
  return new Map(
    workshop.machines.map(({ envelope: { name }, estimate }) => {
      const done = attempts.filter((a) => a.state === 'done' && (a.machine ?? only) === name);
      // Pieces started together shared a plate; their hours cannot be told apart.
      const alone = done.filter((a) => done.filter((b) => b.startS === a.startS).length === 1);
      const records = alone.flatMap((a): PrintRecord[] => {
        const parts = computed(a.piece, name);
        return parts && a.startS !== null && a.endS !== null
          ? [{ ...parts, actualH: (a.endS - a.startS) / 3600 }]
          : [];
      });
      return [name, hoursModelOf(estimate, records)];
    }),
  );
}

/** Files of a kit of which the log knows a finished print, with the names of their pieces. */
export async function loggedParts(
  kit: Kit,
  attempts: readonly Attempt[],
): Promise<{ part: Kit['parts'][number]; pieces: string[] }[]> {
  const { pieceNames } = await import('@scantling/core');
  const done = new Set(attempts.filter((a) => a.state === 'done').map((a) => a.piece));
  return kit.parts
    .map((part) => ({ part, pieces: pieceNames(part).filter((name) => done.has(name)) }))
    .filter(({ pieces }) => pieces.length > 0);
}
