import { relative, dirname } from 'node:path';
import { existsSync } from 'node:fs';
import type { Estimate, KitPart } from '@scantling/core';
import { InvalidArgumentError, type Command } from 'commander';
import { UsageError } from '../failure.ts';
import { EXIT, type Io, type SetExit } from '../io.ts';
import { cacheOption, jobsOption, loadWorkshop, outputOptions, shopOptions, unitOption, type OutputOptions, type ShopOptions } from '../options.ts'; // prettier-ignore

interface Options extends ShopOptions, OutputOptions {
  readonly machine?: string;
  readonly material: string;
  readonly unit?: 'mm' | 'cm' | 'in' | 'm';
  readonly whatIf?: boolean;
  readonly walls?: number;
  readonly infill?: number;
  readonly asModelled?: boolean;
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
    .option('-m, --machine <name>', 'which machine (default: the first)')
    .option('--material <name>', 'filament, where no kit file says', 'PLA')
    .addOption(unitOption())
    .option('--walls <n>', 'lines in the wall, for all parts', whole)
    .option('--infill <share>', 'share of infill, 0 to 1, for all parts', share)
    .option(
      '--what-if',
      'the same with 2, 4, 7 walls and 10, 20, 35 % infill, and whole against split',
    )
    .option('--as-modelled', 'as modelled where it fits so, else the best way up')
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
  const [core, session, { findFiles }, output] = await Promise.all([
    import('@scantling/core'),
    import('../kit-session.ts'),
    import('../session.ts'),
    import('../output.ts'),
  ]);
  const shop = await loadWorkshop(io, options);
  const machine = options.machine === undefined ? shop.machines[0] : shop.machines.find((m) => m.envelope.name === options.machine); // prettier-ignore
  if (!machine) throw new UsageError(`no machine "${options.machine}"; there are ${shop.machines.map((m) => m.envelope.name).join(', ')}.`); // prettier-ignore
  if (options.out !== undefined && !options.force) output.refuseExisting(io, [options.out]);
  const files = (await findFiles(io, paths)).files;
  const all = await Promise.all(
    files.map(async ({ path, name }) => {
      const kit = existsSync(session.kitPathOf(io, dirname(path))) ? await session.openKit(io, dirname(path)) : null; // prettier-ignore
      const known = kit?.kit.parts.find((p) => p.file === relative(kit.folder, path).replaceAll('\\', '/')); // prettier-ignore
      const part: KitPart = known
        ? { ...known, file: name }
        : core.kitPartSchema.parse({ file: name, material: options.material, unit: options.unit });
      const own = known ? core.recipeOf(part) : { walls: machine.estimate.walls, infillShare: machine.estimate.infillShare }; // prettier-ignore
      const recipe = { walls: options.walls ?? own.walls, infillShare: options.infill ?? own.infillShare }; // prettier-ignore
      const others = options.whatIf ? WALLS.flatMap((walls) => INFILL.map((infillShare) => ({ walls, infillShare }))) : []; // prettier-ignore
      return { part, path, recipes: [recipe, ...others] };
    }),
  );
  const wishes = all.filter((w) => w.part.process === 'filament' && w.part.quantity > 0);
  const made = await session.makeParts(
    io,
    wishes,
    { ...shop, machines: [machine] },
    { asModelled: options.asModelled ?? false, jobs: options.jobs, cache: options.cache, cutUp: options.whatIf ?? false }, // prettier-ignore
  );
  const parts: Estimate['parts'] = made.map(({ part, answer }, i) => ({
    file: part.file,
    part: null,
    quantity: part.quantity,
    material: part.material,
    estimate: answer.ready[0]?.[0]?.estimate ?? null,
    because: answer.because,
    choices: answer.ready.slice(1).flatMap((r, k) => {
      const e = r[0]?.estimate;
      const recipe = wishes[i]?.recipes[k + 1] ?? { walls: 0, infillShare: 0 };
      return e ? [{ ...recipe, massG: e.massG, hours: e.hours.likely }] : [];
    }),
    wholeOrSplit: answer.wholeOrSplit,
  }));
  const result = core.estimateOf(machine.envelope.name, machine.estimate, parts, shop.materials, shop.schedule.spoolReserveShare); // prettier-ignore
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
