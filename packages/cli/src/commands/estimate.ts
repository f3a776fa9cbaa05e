import { dirname, join, relative } from 'node:path';
import { existsSync } from 'node:fs';
import type { Attempt, Estimate, KitPart, PartEstimate } from '@scantling/core';
import { InvalidArgumentError, type Command } from 'commander';
import { UsageError } from '../failure.ts';
import { EXIT, type Io, type SetExit } from '../io.ts';
import type { MakeWish, OpenKit } from '../kit-session.ts';
import { cacheOption, jobsOption, loadWorkshop, outputOptions, shopOptions, unitOption, type OutputOptions, type ShopOptions } from '../options.ts'; // prettier-ignore

interface Options extends ShopOptions, OutputOptions {
  readonly machine?: string;
  readonly material: string;
  readonly unit?: 'mm' | 'cm' | 'in' | 'm';
  readonly whatIf?: boolean;
  readonly walls?: number;
  readonly infill?: number;
  readonly asModelled?: boolean;
  readonly log: boolean;
  readonly jobs: number;
  readonly cache: boolean;
}

/** Compared by --what-if. */
const WALLS = [2, 4, 7];
const INFILL = [0.1, 0.2, 0.35];

export function register(program: Command, io: Io, setExit: SetExit): void {
  const command = program
    .command('estimate')
    .description('filament, metres, spools and hours of parts, of a kit, of split pieces')
    .argument('<path...>', 'part files, folders, or a folder with a kit file');
  outputOptions(shopOptions(command))
    .option('-m, --machine <name>', 'which machine (default: the roomiest)')
    .option('--material <name>', 'filament, where no kit file says', 'PLA')
    .addOption(unitOption())
    .option('--walls <n>', 'lines in the wall, for all parts', whole)
    .option('--infill <share>', 'share of infill, 0 to 1, for all parts', share)
    .option(
      '--what-if',
      'the same with 2, 4, 7 walls and 10, 20, 35 % infill, and whole against split',
    )
    .option('--as-modelled', 'as modelled where it fits so, else the best way up')
    .option('--no-log', 'leave the print log aside')
    .addOption(jobsOption())
    .addOption(cacheOption())
    .action(async (paths: string[], options: Options) => estimate(io, setExit, paths, options));
}

const whole = (text: string): number => {
  const n = Number(text);
  if (!Number.isInteger(n) || n < 1) throw new InvalidArgumentError('It must be 1, 2, 3 ...');
  return n;
};
const share = (text: string): number => {
  const n = Number(text);
  if (!(n >= 0 && n <= 1)) throw new InvalidArgumentError('It must lie between 0 and 1.');
  return n;
};

async function estimate(
  io: Io,
  setExit: SetExit,
  paths: string[],
  options: Options,
): Promise<void> {
  const [core, session, { findFiles }, output, { machineHours }] = await Promise.all([
    import('@scantling/core'),
    import('../kit-session.ts'),
    import('../session.ts'),
    import('../output.ts'),
    import('../hours-run.ts'),
  ]);
  const shop = await loadWorkshop(io, options);
  const room = (m: (typeof shop.machines)[number]): number => core.freeSpaceOf(m.envelope)?.volumeMm3 ?? 0; // prettier-ignore
  const [machine] = shop.machines
    .filter((m) => options.machine === undefined || m.envelope.name === options.machine)
    .sort((a, b) => room(b) - room(a));
  if (!machine) throw new UsageError(`no machine "${options.machine}"; there are ${shop.machines.map((m) => m.envelope.name).join(', ')}.`); // prettier-ignore
  if (options.out !== undefined && !options.force) output.refuseExisting(io, [options.out]);
  const files = (await findFiles(io, paths)).files;
  const kits = new Map<string, OpenKit | null>();
  for (const folder of new Set(files.map(({ path }) => dirname(path))))
    kits.set(folder, existsSync(session.kitPathOf(io, folder)) ? await session.openKit(io, folder) : null); // prettier-ignore
  const others = options.whatIf ? WALLS.flatMap((walls) => INFILL.map((infillShare) => ({ walls, infillShare }))) : []; // prettier-ignore
  const all = files.map(({ path, name }): MakeWish => {
    const kit = kits.get(dirname(path));
    const known = kit?.kit.parts.find((p) => p.file === relative(kit.folder, path).replaceAll('\\', '/')); // prettier-ignore
    const part: KitPart = known
      ? { ...known, file: name }
      : core.kitPartSchema.parse({ file: name, material: options.material, unit: options.unit });
    const own = known ? core.recipeOf(part) : { walls: machine.estimate.walls, infillShare: machine.estimate.infillShare }; // prettier-ignore
    const recipe = { walls: options.walls ?? own.walls, infillShare: options.infill ?? own.infillShare }; // prettier-ignore
    const alike = kit && known ? session.alikePath(known, kit.folder) : null;
    return { part, path, recipes: [recipe, ...others], cutUp: options.whatIf ?? false, alike };
  });
  const wishes = all.filter((w) => w.part.process === 'filament' && w.part.quantity > 0);
  const log = options.log ? await logOf(io, [...kits.values()].filter((k) => k !== null), wishes) : { attempts: [], wishes, more: [], source: new Map() } as LogWishes; // prettier-ignore
  const made = await session.makeParts(
    io,
    [...log.wishes, ...log.more],
    { ...shop, machines: [machine] },
    { asModelled: options.asModelled ?? false, jobs: options.jobs, cache: options.cache },
  );
  const hours = await machineHours(shop, log.attempts, (piece, name) => {
    const source = name === machine.envelope.name ? log.source.get(piece) : undefined;
    return source && made[source.wish]?.answer.ready[source.recipe]?.[0]?.estimate?.parts;
  });
  const { settings, model } = hours.get(machine.envelope.name) ?? core.hoursModelOf(machine.estimate, []); // prettier-ignore
  const timed = (e: PartEstimate): PartEstimate => ({ ...e, hours: core.hoursWith(e.parts, settings) }); // prettier-ignore
  const parts = made.slice(0, wishes.length).map(({ part, answer }): Estimate['parts'][number] => {
    const [own, ...rest] = answer.ready.map((r) => r[0]?.estimate ?? null);
    return {
      file: part.file,
      part: null,
      quantity: part.quantity,
      material: part.material,
      estimate: own ? timed(own) : null,
      because: answer.because,
      choices: others.flatMap((recipe, k) => {
        const e = rest[k];
        return e ? [{ ...recipe, massG: e.massG, hours: timed(e).hours.likely }] : [];
      }),
      wholeOrSplit: answer.wholeOrSplit && core.wholeOrSplitWith(answer.wholeOrSplit, settings),
    };
  });
  const result = core.estimateOf(machine.envelope.name, settings, parts, shop.materials, shop.schedule.spoolReserveShare, model); // prettier-ignore
  const { estimateCsv, estimateText } = await import('../render/estimate.ts');
  const { styleFor } = await import('../render/style.ts');
  const toFile = options.out !== undefined;
  const text = options.json
    ? `${JSON.stringify(result, null, 2)}\n`
    : options.csv
      ? estimateCsv(result)
      : estimateText(result, (!toFile && io.columns) || 80, styleFor({ colour: io.colour && !toFile })); // prettier-ignore
  if (options.out === undefined) io.stdout(text);
  else await output.writeOutput(io, options.out, text, options);
  if (parts.some((p) => p.estimate === null)) setExit(EXIT.incomplete);
}

interface LogWishes {
  readonly attempts: readonly Attempt[];
  /** The wanted parts, with the recipe they were printed with where it is another. */
  readonly wishes: readonly MakeWish[];
  /** Parts that only the log asks for. */
  readonly more: readonly MakeWish[];
  /** Where the answer for a finished piece stands: in `wishes` then `more`, and its recipe. */
  readonly source: ReadonlyMap<string, { readonly wish: number; readonly recipe: number }>;
}

/** What must be computed beside the wanted parts, to hold the model against the logs of their kits. */
async function logOf(
  io: Io,
  kits: readonly OpenKit[],
  wanted: readonly MakeWish[],
): Promise<LogWishes> {
  const [core, session, { loggedParts }, { shownPath }] = await Promise.all([
    import('@scantling/core'),
    import('../kit-session.ts'),
    import('../hours-run.ts'),
    import('../output.ts'),
  ]);
  const attempts: Attempt[] = [];
  const jobs = [...wanted];
  const source = new Map<string, { wish: number; recipe: number }>();
  for (const { kit, folder, logPath } of kits) {
    // Pieces of two kits may have one name.
    const full = (piece: string): string => `${folder}/${piece}`;
    const tries = await session.readAttempts(io, logPath);
    attempts.push(...tries.map((a) => ({ ...a, piece: full(a.piece) })));
    for (const { part, pieces } of await loggedParts(kit, tries)) {
      const path = join(folder, part.file);
      const own = core.recipeOf(part);
      let wish = jobs.findIndex((w) => w.path === path);
      if (wish < 0) wish = jobs.push({ part: { ...part, file: shownPath(io, path) }, path, recipes: [own] }) - 1; // prettier-ignore
      const job = jobs[wish] as MakeWish;
      let recipe = job.recipes.findIndex((r) => r.walls === own.walls && r.infillShare === own.infillShare); // prettier-ignore
      if (recipe < 0) {
        recipe = job.recipes.length;
        jobs[wish] = { ...job, recipes: [...job.recipes, own] };
      }
      for (const piece of pieces) source.set(full(piece), { wish, recipe });
    }
  }
  return {
    attempts,
    wishes: jobs.slice(0, wanted.length),
    more: jobs.slice(wanted.length),
    source,
  };
}
