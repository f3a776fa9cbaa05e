import type { CleanFaces, LengthUnit, OrientList, Vec3 } from '@scantling/core';
import type { Command } from 'commander';
import { EXIT, type Io, type SetExit } from '../io.ts';
import {
  jobsOption,
  loadWorkshop,
  outputOptions,
  positive,
  shopOptions,
  unitOption,
  wholeAbove0,
  type OutputOptions,
  type ShopOptions,
} from '../options.ts';
import { parseClean, parseDirection } from '../split-values.ts';

interface Options extends ShopOptions, OutputOptions {
  readonly unit?: LengthUnit;
  readonly count: number;
  readonly load?: Vec3;
  readonly clean?: CleanFaces;
  readonly mass?: number;
  readonly material: string;
  readonly jobs: number;
}

export function register(program: Command, io: Io, setExit: SetExit): void {
  outputOptions(
    shopOptions(
      program
        .command('orient')
        .description('ways up that save supports, stand firm and still fit')
        .argument('<path...>', 'part files (.stl, .3mf, .obj) and folders of them'),
    ),
  )
    .addOption(unitOption())
    .option('-n, --count <n>', 'ways up to list per part', wholeAbove0, 5)
    .option('--load <direction>', 'direction of the load in use, z or 0,1,1, part coordinates', parseDirection)
    .option(
      '--clean <faces>',
      'faces to keep without scars: those that look along z or 0,-1,0, or flat:CM2, those flat over at least so much; may be repeated',
      parseClean,
    )
    .option('--mass <g>', 'mass of the printed part, for the moving bed (default: as if solid)', positive)
    .option('--material <name>', 'filament, for mass, hours and its own limits', 'PLA')
    .addOption(jobsOption())
    .addHelpText('after', HELP)
    .action(async (paths: string[], options: Options) => orient(io, setExit, paths, options));
} // prettier-ignore

const HELP = `
Turns are in degrees about the fixed axes, X first, then Y, then Z. Supports are the space under
overhangs, bridges left out. A way up is steady when it tips at no less than the angle asked for
(10 degrees by default) at any height; supports are not counted for that. The first way is the
choice: the least weighted score among the steady ones; weights are in the workshop file, with the
self-support angle, the layer height and the longest bridge, per machine and per material.
Estimates: supports (within 1 % of rays), filament and hours, islands that begin in mid-air, and
the accelerations of a moving bed (rigid block). An open mesh has no mass and no hours.
Exit code 0: every part has a way up in a machine; 1: some have not; 2: wrong usage; 130: stopped
by Ctrl-C, what was done by then is printed.
`;

async function orient(io: Io, setExit: SetExit, paths: string[], options: Options): Promise<void> {
  const [{ materialOf }, { runOrient }, { inKitUnits }, { findFiles }, output] = await Promise.all([
    import('@scantling/core'),
    import('../orient-run.ts'),
    import('../kit-session.ts'),
    import('../session.ts'),
    import('../output.ts'),
  ]);
  const { refuseExisting, shownPath, writeOutput } = output;
  const workshop = await loadWorkshop(io, options);
  materialOf(options.material, workshop.materials);
  if (options.out !== undefined && !options.force) refuseExisting(io, [options.out]);
  const found = await findFiles(io, paths);
  for (const trouble of found.troubles) io.stderr(`scantling: ${trouble}\n`);

  const files = await inKitUnits(io, paths, found.files, options.unit);
  const list = await runOrient(io, files, workshop, {
    jobs: options.jobs,
    unit: options.unit ?? null,
    material: options.material,
    asked: {
      count: options.count,
      ...(options.load && { load: options.load }),
      ...(options.clean && { clean: options.clean }),
      ...(options.mass !== undefined && { massG: options.mass }),
    },
  });
  const text = await render(io, list, options);
  if (options.out === undefined) io.stdout(text);
  else {
    await writeOutput(io, options.out, text, options);
    io.stderr(`Wrote ${shownPath(io, options.out)}.\n`);
  }
  if (!list.complete) setExit(EXIT.interrupted);
  else if (found.troubles.length || list.parts.some((p) => !p.result?.ways.length))
    setExit(EXIT.incomplete);
}

async function render(io: Io, list: OrientList, options: Options): Promise<string> {
  if (options.json) return `${JSON.stringify(list, null, 2)}\n`;
  const { orientCsv, orientText } = await import('../render/orient.ts');
  if (options.csv) return orientCsv(list);
  const { styleFor } = await import('../render/style.ts');
  const toFile = options.out !== undefined;
  const style = styleFor({ colour: io.colour && !toFile });
  return orientText(list, (!toFile && io.columns) || 80, style);
}
