import { resolve } from 'node:path';
import type { PieceOn, PlanPiece, Workshop } from '@scantling/core';
import type { Command } from 'commander';
import type { MachineHours } from '../hours-run.ts';
import { EXIT, type Io, type SetExit } from '../io.ts';
import type { Made, OpenKit } from '../kit-session.ts';
import { cacheOption, jobsOption, loadWorkshop, outputOptions, shopOptions, type OutputOptions, type ShopOptions } from '../options.ts'; // prettier-ignore

interface Options extends ShopOptions, OutputOptions {
  readonly from?: string;
  readonly due?: string;
  readonly ics?: string;
  readonly asModelled?: boolean;
  readonly anyOrder?: boolean;
  readonly log: boolean;
  readonly jobs: number;
  readonly cache: boolean;
}

export function register(program: Command, io: Io, setExit: SetExit): void {
  const command = program
    .command('plan')
    .description('which print when on which machine, day and night, around your hours')
    .argument('[kit]', 'kit file or its folder', '.');
  outputOptions(shopOptions(command))
    .option('--from <time>', 'beginning, for example "2026-03-28 08:00"; default: now')
    .option('--due <time>', 'when it must be finished')
    .option('--ics <file>', 'also write a calendar file with alarms for your phone')
    .option('--as-modelled', 'print parts as modelled where they fit so')
    .option('--any-order', 'do not keep to the order of the groups')
    .option('--no-log', 'leave the print log aside')
    .addOption(jobsOption())
    .addOption(cacheOption())
    .action(async (kit: string, options: Options) => plan(io, setExit, kit, options));
}

async function plan(io: Io, setExit: SetExit, given: string, options: Options): Promise<void> {
  const [core, session, { machineHours }, { refuseExisting, shownPath, writeOutput }] =
    await Promise.all([
      import('@scantling/core'),
      import('../kit-session.ts'),
      import('../hours-run.ts'),
      import('../output.ts'),
    ]);
  const workshop = await loadWorkshop(io, options);
  const opened = await session.openKit(io, given);
  const outputs = [options.out, options.ics].filter((path) => path !== undefined);
  if (!options.force) refuseExisting(io, outputs);
  const wanted = opened.kit.parts.filter((p) => p.process === 'filament' && p.quantity > 0);
  const made = await session.makeParts(
    io,
    wanted.map((part) => ({ part, path: resolve(opened.folder, part.file), recipes: [core.recipeOf(part)], alike: session.alikePath(part, opened.folder) })), // prettier-ignore
    workshop,
    { asModelled: options.asModelled ?? false, jobs: options.jobs, cache: options.cache },
  );
  const attempts = options.log ? await session.readAttempts(io, opened.logPath) : [];
  const byPiece = new Map(made.flatMap((m) => core.pieceNames(m.part).map((name) => [name, m.answer] as const))); // prettier-ignore
  const machines = workshop.machines.map((m) => m.envelope.name);
  const hours = await machineHours(workshop, attempts, (piece, name) => byPiece.get(piece)?.ready[0]?.[machines.indexOf(name)]?.estimate?.parts); // prettier-ignore
  const zone = core.zoneOf(workshop.schedule.timeZone);
  const fromS = options.from === undefined ? Math.ceil(io.now().getTime() / 60_000) * 60 : core.parseInstant(zone, options.from); // prettier-ignore
  const result = core.planPrints({
    pieces: await piecesOf(made, workshop, hours),
    machines: workshop.machines.map((m) => ({
      name: m.envelope.name,
      envelope: m.envelope,
      heatingH: m.estimate.heatingS / 3600,
      hoursModel: hours.get(m.envelope.name)?.model,
    })),
    settings: workshop.schedule,
    fromS,
    dueS: options.due === undefined ? undefined : core.parseInstant(zone, options.due),
    groupOrder: options.anyOrder ? [] : opened.kit.order,
    attempts,
    spoolG: (material) => core.materialOf(material, workshop.materials).spoolG,
    signal: io.signal,
  });
  const leftOut = [
    ...made.flatMap(({ part, answer }) => (answer.because === null ? [] : core.pieceNames(part).map((piece) => ({ piece, because: answer.because ?? '' })))), // prettier-ignore
    ...otherProcess(opened).flatMap((part) => core.pieceNames(part).map((piece) => ({ piece, because: `made by another process (${part.process})` }))), // prettier-ignore
  ];
  const whole = { ...result, leftOut: [...leftOut, ...result.leftOut] };

  if (options.ics !== undefined) {
    const text = core.planCalendar(whole, io.now().getTime() / 1000, opened.kit.name);
    await writeOutput(io, options.ics, text, options);
    io.stderr(`Wrote ${shownPath(io, options.ics)}.\n`);
  }
  const { planCsv, planText } = await import('../render/plan.ts');
  const { styleFor } = await import('../render/style.ts');
  const toFile = options.out !== undefined;
  const text = options.json
    ? `${JSON.stringify(whole, null, 2)}\n`
    : options.csv
      ? planCsv(whole)
      : planText(whole, (!toFile && io.columns) || 80, styleFor({ colour: io.colour && !toFile })); // prettier-ignore
  if (options.out === undefined) io.stdout(text);
  else {
    await writeOutput(io, options.out, text, options);
    io.stderr(`Wrote ${shownPath(io, options.out)}.\n`);
  }
  if (made.some((m) => m.answer.because !== null) || whole.leftOut.length > leftOut.length)
    setExit(EXIT.incomplete);
}

const otherProcess = ({ kit }: OpenKit) => kit.parts.filter((p) => p.process !== 'filament');

async function piecesOf(
  made: readonly Made[],
  workshop: Workshop,
  hours: ReadonlyMap<string, MachineHours>,
): Promise<PlanPiece[]> {
  const { hoursWith, pieceNames } = await import('@scantling/core');
  return made.flatMap(({ part, answer }) => {
    const on: Record<string, PieceOn> = {};
    let massG = 0;
    workshop.machines.forEach(({ envelope: { name }, estimate }, k) => {
      const ready = answer.ready[0]?.[k];
      if (!ready?.estimate) return;
      const h = hoursWith(ready.estimate.parts, hours.get(name)?.settings ?? estimate);
      on[name] = {
        hours: { lowH: h.low, likelyH: h.likely, highH: h.high },
        footprintMm: ready.shadowMm,
        placement: ready,
      };
      massG = Math.max(massG, ready.estimate.massG);
    });
    if (Object.keys(on).length === 0) return [];
    return pieceNames(part).map((id) => ({ id, group: part.group ?? null, material: part.material, massG, on })); // prettier-ignore
  });
}
