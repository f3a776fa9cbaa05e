import { join } from 'node:path';
import type { LengthUnit, Mesh, Progress, Salvage, SalvageRequest, Vec3, Workshop } from '@scantling/core'; // prettier-ignore
import { InvalidArgumentError, Option, type Command } from 'commander';
import { UsageError } from '../failure.ts';
import { EXIT, type Io, type SetExit } from '../io.ts';
import { loadWorkshop, notNegative, positive, shopOptions, unitOption, wholeAbove0, type ShopOptions } from '../options.ts'; // prettier-ignore

interface Options extends ShopOptions {
  readonly printedHeight?: number;
  readonly layers?: number;
  readonly percent?: number;
  readonly of: 'height' | 'filament';
  readonly layerHeight?: number;
  readonly plusMinus?: number;
  readonly turns?: Vec3;
  readonly dowels: boolean;
  readonly machine?: string;
  readonly material?: string;
  readonly unit?: LengthUnit;
  readonly out?: string;
  readonly json?: boolean;
  readonly force?: boolean;
}

export function register(program: Command, io: Io, setExit: SetExit): void {
  shopOptions(
    program
      .command('salvage')
      .description('the rest of a print that stopped, as a piece of its own')
      .argument('<file>', 'the part that was being printed (.stl, .3mf, .obj)'),
  )
    .option('--printed-height <mm>', 'height of the stump, measured from the plate', positive)
    .option('--layers <n>', 'or: layers that were printed', wholeAbove0)
    .option('--percent <n>', 'or: how much was printed, 0 to 100', percent)
    .addOption(
      new Option('--of <what>', 'percent of what')
        .choices(['height', 'filament'])
        .default('height'),
    ) // prettier-ignore
    .option('--layer-height <mm>', 'height of a layer (default: of the machine)', positive)
    .option('--plus-minus <mm>', 'how far off the height may be', notNegative)
    .option('--turns <x,y,z>', 'turns in degrees about X, then Y, then Z it was printed in', turns)
    .option('--no-dowels', 'no locating dowels')
    .option('-m, --machine <name>', 'which machine (default: the first)')
    .option('--material <name>', 'filament (default: of the kit file, else "PLA")')
    .addOption(unitOption())
    .option('-o, --out <folder>', 'folder for the piece and the drilling templates')
    .option('--json', 'the result as JSON')
    .option('-f, --force', 'replace files that exist')
    .action(async (file: string, options: Options) => salvage(io, setExit, file, options));
}

/** A share from "80" or "80%". */
function percent(text: string): number {
  const value = Number(text.trim().replace(/ ?%$/, '') || NaN);
  if (!(value > 0 && value < 100))
    throw new InvalidArgumentError('Give percent, above 0 and below 100, such as 80.');
  return value / 100;
}

function turns(text: string): Vec3 {
  const [x, y, z, ...more] = text.split(',').map(Number);
  if (![x, y, z].every((n) => Number.isFinite(n)) || more.length)
    throw new InvalidArgumentError('Give three numbers, such as 90,0,45.');
  return [x as number, y as number, z as number];
}

function progressOf(options: Options): Progress {
  const { printedHeight, layers, percent: share, of } = options;
  const given = [printedHeight, layers, share].filter((x) => x !== undefined).length;
  if (given !== 1)
    throw new UsageError('how far did it get? Give one of --printed-height, --layers, --percent.'); // prettier-ignore
  if (printedHeight !== undefined) return { kind: 'height', mm: printedHeight };
  if (layers !== undefined) return { kind: 'layers', count: layers };
  return { kind: of === 'height' ? 'height-share' : 'filament-share', share: share ?? 0 };
}

async function salvage(io: Io, setExit: SetExit, given: string, options: Options): Promise<void> {
  const printed = progressOf(options);
  const shop = await loadWorkshop(io, options);
  const machine = options.machine === undefined ? shop.machines[0] : shop.machines.find((m) => m.envelope.name === options.machine); // prettier-ignore
  if (!machine) throw new UsageError(`no machine "${options.machine}".`);
  const [core, session, { kitPartsOf }, output] = await Promise.all([
    import('@scantling/core'),
    import('../session.ts'),
    import('../kit-session.ts'),
    import('../output.ts'),
  ]);
  const [file] = (await session.findFiles(io, [given])).files;
  if (!file) throw new UsageError(`${given}: no such part file.`);
  const known = (await kitPartsOf(io, [], [file])).get(file.path);
  const parts = await session.loadParts(file, { unit: options.unit ?? known?.unit });
  const [part] = parts;
  if (!part || parts.length > 1)
    throw new UsageError(`${given}: holds ${parts.length} parts; give a file with the one that was printed.`); // prettier-ignore
  const s = { ...machine.estimate, ...(known && core.recipeOf(known)) };
  const layerMm = options.layerHeight ?? s.layerHeightMm;
  const request: SalvageRequest = {
    file: file.name,
    stem: session.stem(file.name),
    printed,
    layerMm,
    ...(options.plusMinus !== undefined && { plusMinusMm: options.plusMinus }),
    ...(options.turns && { turnsDeg: options.turns }),
    recipe: { wallMm: s.walls * s.lineWidthMm, infillShare: s.infillShare },
    dowels: options.dowels,
    join: shop.join,
  };
  const found = await core.salvagePart(part.mesh, machine.envelope, request, { signal: io.signal });
  const result = await weighed(
    found,
    { ...s, layerHeightMm: layerMm },
    shop,
    options.material ?? known?.material ?? 'PLA',
  );
  const wrote: string[] = [];
  if (options.out !== undefined) {
    const paths = found.files.map((f) => join(options.out as string, f.name));
    if (!options.force) output.refuseExisting(io, paths);
    for (const [i, f] of found.files.entries())
      await output.writeOutput(io, paths[i] as string, f.data, { force: options.force });
    wrote.push(...paths);
  }
  const { salvageText } = await import('../render/salvage.ts');
  io.stdout(options.json ? `${JSON.stringify(result, null, 2)}\n` : salvageText(result, wrote, io.columns ?? 80)); // prettier-ignore
  if (!result.written) setExit(EXIT.incomplete);
}

/** The result with grams and hours of the whole and of the rest on this machine. */
async function weighed(
  found: { readonly result: Salvage; readonly whole: Mesh; readonly remainder: Mesh | null }, // prettier-ignore
  settings: Workshop['machines'][number]['estimate'],
  shop: Workshop,
  materialName: string,
): Promise<Salvage> {
  const { materialOf, weighPart } = await import('@scantling/core');
  const material = materialOf(materialName, shop.materials);
  const { result, whole, remainder } = found;
  const weigh = async (mesh: Mesh | null) =>
    mesh && result.whole.volumeMm3 !== null
      ? weighPart(mesh, settings, material, { precision: 0.01 })
      : null;
  const [all, rest] = [await weigh(whole), await weigh(remainder)];
  const of = (e: typeof all) => ({ massG: e?.massG ?? null, hours: e?.hours.likely ?? null });
  const minus = (a: number | null | undefined, b: number | null | undefined): number | null =>
    typeof a === 'number' && typeof b === 'number' ? a - b : null;
  return {
    ...result,
    whole: { ...result.whole, ...of(all) },
    remainder: { ...result.remainder, ...of(rest) },
    saved: { ...result.saved, massG: minus(all?.massG, rest?.massG), hours: minus(all?.hours.likely, rest?.hours.likely) }, // prettier-ignore
  };
}
