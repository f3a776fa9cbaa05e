import type { Attempt, LogEntry } from '@scantling/core';
import type { Command } from 'commander';
import type { Io } from '../io.ts';
import { notNegative } from '../options.ts';

interface Options {
  readonly kit: string;
  readonly machine?: string;
  readonly grams?: number;
  readonly note?: string;
  readonly at?: string;
  readonly zone?: string;
}

export function register(program: Command, io: Io): void {
  const log = program
    .command('log')
    .description('keep the print log beside the kit: what started, what is done, what failed');
  for (const [event, words] of [
    ['start', 'a print has been started'],
    ['done', 'a print is done and good'],
    ['failed', 'a print has failed; the plan brings it back'],
  ] as const)
    log
      .command(event)
      .description(words)
      .argument('<piece...>', 'pieces on the plate, by their names in the kit')
      .option('-k, --kit <path>', 'kit file or its folder', '.')
      .option('-m, --machine <name>', 'on which machine')
      .option('-g, --grams <g>', 'filament used, as weighed', notNegative)
      .option('-n, --note <text>', 'anything worth knowing later')
      .option('--at <time>', 'when, for example "2026-03-28 20:00"; default: now')
      .option('--zone <name>', 'time zone of --at', 'UTC')
      .action(async (pieces: string[], options: Options) => {
        // One moment for all: pieces of one plate start and end together.
        const nowS = io.now().getTime() / 1000;
        for (const piece of pieces) await add(io, event, piece, options, nowS);
      });
  log
    .command('show')
    .description('what the log knows: how long the knee took, what prints now')
    .argument('[piece]', 'only this piece')
    .option('-k, --kit <path>', 'kit file or its folder', '.')
    .option('--csv', 'as CSV')
    .action(async (piece: string | undefined, options: { kit: string; csv?: boolean }) =>
      show(io, piece, options),
    );
}

async function add(
  io: Io,
  event: LogEntry['event'],
  piece: string,
  options: Options,
  nowS: number,
): Promise<void> {
  const [core, { openKit }, { appendLog }, { UsageError }] = await Promise.all([
    import('@scantling/core'),
    import('../kit-session.ts'),
    import('../log-file.ts'),
    import('../failure.ts'),
  ]);
  const { kit, logPath } = await openKit(io, options.kit);
  const known = kit.parts.flatMap(core.pieceNames);
  if (!known.includes(piece)) {
    const near = known.filter((name) => name.includes(piece) || piece.includes(name)).slice(0, 4);
    throw new UsageError(`"${piece}" is no piece of the kit${near.length > 0 ? `; did you mean ${near.join(', ')}?` : '.'}`, 'LOG_UNKNOWN_PIECE'); // prettier-ignore
  }
  const zone = core.zoneOf(options.zone ?? 'UTC');
  const atS = options.at === undefined ? nowS : core.parseInstant(zone, options.at); // prettier-ignore
  const entry: LogEntry = {
    event,
    piece,
    at: core.isoIn(zone, atS),
    ...(options.machine !== undefined && { machine: options.machine }),
    ...(options.grams !== undefined && { grams: options.grams }),
    ...(options.note !== undefined && { note: options.note }),
  };
  await appendLog(logPath, entry, (text) =>
    core.checkEntry(entry, core.attemptsOf(core.parseLog(text).entries)),
  );
  io.stdout(`${entry.at}  ${event} ${piece}\n`);
}

async function show(
  io: Io,
  piece: string | undefined,
  options: { kit: string; csv?: boolean },
): Promise<void> {
  const [{ openKit, readAttempts }, { logCsv }, { table }, { styleFor }] = await Promise.all([
    import('../kit-session.ts'),
    import('@scantling/core'),
    import('../render/table.ts'),
    import('../render/style.ts'),
  ]);
  const { logPath } = await openKit(io, options.kit);
  const all = await readAttempts(io, logPath);
  const tries = piece === undefined ? all : all.filter((a) => a.piece === piece);
  if (options.csv) {
    io.stdout(logCsv(tries));
    return;
  }
  if (tries.length === 0) {
    io.stdout(piece === undefined ? 'The log is empty.\n' : `Nothing is logged of ${piece}.\n`);
    return;
  }
  const columns = [
    { head: 'piece', least: 10 },
    { head: 'machine', least: 5 },
    { head: 'state' },
    { head: 'start (UTC)' },
    { head: 'hours', align: 'right' as const },
    { head: 'g', align: 'right' as const },
  ];
  const rows = tries.map((a) => [
    a.piece,
    a.machine ?? '-',
    a.state,
    a.startS === null ? '-' : new Date(a.startS * 1000).toISOString().slice(0, 16).replace('T', ' '), // prettier-ignore
    hoursText(a, io),
    a.grams === null ? '-' : a.grams.toFixed(0),
  ]);
  io.stdout(table(columns, rows, io.columns ?? 80, styleFor(io)));
}

/** Running time; for a print on the machine so far, with a plus. */
function hoursText(a: Attempt, io: Io): string {
  if (a.startS === null) return '-';
  const end = a.endS ?? io.now().getTime() / 1000;
  return `${((end - a.startS) / 3600).toFixed(2)}${a.endS === null ? '+' : ''}`;
}
