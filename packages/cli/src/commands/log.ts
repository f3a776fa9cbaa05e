import type { LogEntry, Workshop } from '@scantling/core';
import type { Command } from 'commander';
import type { Io } from '../io.ts';
import { findWorkshop, notNegative, WORKSHOP_FILE } from '../options.ts';

interface Place {
  readonly kit: string;
  readonly shop?: string;
  readonly zone?: string;
}

interface Options extends Place {
  readonly machine?: string;
  readonly grams?: number;
  readonly note?: string;
  readonly at?: string;
}

const placed = (command: Command): Command =>
  command
    .option('-k, --kit <path>', 'kit file or its folder', '.')
    .option('-s, --shop <file>', `workshop file (default: ${WORKSHOP_FILE} here, if there is one)`)
    .option('--zone <name>', "time zone (default: the workshop's, else UTC)");

export function register(program: Command, io: Io): void {
  const log = program
    .command('log')
    .description('keep the print log beside the kit: what started, what is done, what failed');
  for (const [event, words] of [
    ['start', 'a print has been started'],
    ['done', 'a print is done and good'],
    ['failed', 'a print has failed; the plan brings it back'],
  ] as const)
    placed(
      log
        .command(event)
        .description(words)
        .argument('<piece...>', 'pieces on the plate, by their names in the kit'),
    )
      .option('-m, --machine <name>', 'on which machine')
      .option('-g, --grams <g>', 'filament used, as weighed', notNegative)
      .option('-n, --note <text>', 'anything worth knowing later')
      .option(
        '--at <time>',
        'when, for example "2026-03-28 20:00", or with an offset; default: now',
      ) // prettier-ignore
      .action(async (pieces: string[], options: Options) => add(io, event, pieces, options));
  placed(
    log
      .command('show')
      .description('what the log knows: how long the knee took, what prints now')
      .argument('[piece]', 'only this piece'),
  )
    .option('--csv', 'as CSV')
    .action(async (piece: string | undefined, options: Place & { csv?: boolean }) =>
      show(io, piece, options),
    );
}

/** The workshop, if there is one, and the zone in which times are read and told. */
async function placeOf(io: Io, { shop, zone }: Place) {
  const { isoIn, zoneOf } = await import('@scantling/core');
  const workshop = await findWorkshop(io, shop);
  const at = zoneOf(zone ?? workshop?.schedule.timeZone ?? 'UTC');
  return { workshop, zone: at, clock: (s: number): string => isoIn(at, s) };
}

async function add(
  io: Io,
  event: LogEntry['event'],
  pieces: readonly string[],
  options: Options,
): Promise<void> {
  const [core, { openKit }, { appendLog }, { UsageError }] = await Promise.all([
    import('@scantling/core'),
    import('../kit-session.ts'),
    import('../log-file.ts'),
    import('../failure.ts'),
  ]);
  const { kit, logPath } = await openKit(io, options.kit);
  const { workshop, zone, clock } = await placeOf(io, options);
  const known = kit.parts.flatMap(core.pieceNames);
  for (const piece of pieces) {
    if (known.includes(piece)) continue;
    const near = known.filter((name) => name.includes(piece) || piece.includes(name)).slice(0, 4);
    throw new UsageError(`"${piece}" is no piece of the kit${near.length > 0 ? `; did you mean ${near.join(', ')}?` : '.'}`, 'LOG_UNKNOWN_PIECE'); // prettier-ignore
  }
  const machine = machineOf(options.machine, workshop, event === 'start');
  if (machine === null)
    throw new UsageError(`no machine "${options.machine}" in the workshop; there are ${namesOf(workshop).join(', ')}.`, 'LOG_UNKNOWN_MACHINE'); // prettier-ignore
  // One moment for all: pieces of one plate start and end together.
  const at = clock(options.at === undefined ? io.now().getTime() / 1000 : core.parseInstant(zone, options.at)); // prettier-ignore
  for (const piece of pieces) {
    const entry: LogEntry = {
      event,
      piece,
      at,
      ...(machine !== undefined && { machine }),
      ...(options.grams !== undefined && { grams: options.grams }),
      ...(options.note !== undefined && { note: options.note }),
    };
    await appendLog(logPath, entry, (text) =>
      core.checkEntry(entry, core.attemptsOf(core.parseLog(text).entries)),
    );
    io.stdout(`${entry.at}  ${event} ${piece}\n`);
  }
}

const namesOf = (workshop: Workshop | null): string[] =>
  workshop?.machines.map((m) => m.envelope.name) ?? [];

/**
 * The machine to log: of a workshop with one, that one need not be named for a start; an end takes
 * that of its start. Null: not one of the workshop's.
 */
function machineOf(
  given: string | undefined,
  workshop: Workshop | null,
  starts: boolean,
): string | undefined | null {
  const names = namesOf(workshop);
  if (given === undefined) return starts && names.length === 1 ? names[0] : undefined;
  return workshop === null || names.includes(given) ? given : null;
}

async function show(
  io: Io,
  piece: string | undefined,
  options: Place & { csv?: boolean },
): Promise<void> {
  const [{ openKit, readAttempts }, { logCsv, logText }, { styleFor }] = await Promise.all([
    import('../kit-session.ts'),
    import('../render/log.ts'),
    import('../render/style.ts'),
  ]);
  const { logPath } = await openKit(io, options.kit);
  const { clock } = await placeOf(io, options);
  const all = await readAttempts(io, logPath);
  const tries = piece === undefined ? all : all.filter((a) => a.piece === piece);
  const empty = piece === undefined ? 'The log is empty.\n' : `Nothing is logged of ${piece}.\n`;
  if (options.csv) io.stdout(logCsv(tries, clock));
  else if (tries.length === 0) io.stdout(empty);
  else io.stdout(logText(tries, clock, io.now().getTime() / 1000, io.columns ?? 80, styleFor(io)));
}
