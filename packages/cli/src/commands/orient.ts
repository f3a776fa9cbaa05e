import type {
  LengthUnit,
  OrientList,
  OrientOptions,
  ReadPart,
  Vec3,
  Workshop,
} from '@scantling/core';
import type { Command } from 'commander';
import { explain, isKnown } from '../failure.ts';
import { EXIT, type Io, type SetExit } from '../io.ts';
import {
  loadWorkshop,
  outputOptions,
  positive,
  shopOptions,
  unitOption,
  wholeAbove0,
  type OutputOptions,
  type ShopOptions,
} from '../options.ts';
import { parseDirection } from '../split-values.ts';

interface Options extends ShopOptions, OutputOptions {
  readonly unit?: LengthUnit;
  readonly count: number;
  readonly load?: Vec3;
  readonly clean?: readonly Vec3[];
  readonly mass?: number;
}

type Entry = OrientList['parts'][number];

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
      '--clean <direction>',
      'faces that look this way should stay without scars; may be repeated',
      (text: string, before: readonly Vec3[] = []) => [...before, parseDirection(text)],
    )
    .option('--mass <g>', 'mass of the printed part, for the moving bed (default: as if solid)', positive)
    .addHelpText('after', HELP)
    .action(async (paths: string[], options: Options) => orient(io, setExit, paths, options));
} // prettier-ignore

const HELP = `
Turns are in degrees about the fixed axes, X first, then Y, then Z. Supports are the space under
overhangs, bridges left out. A way up is steady when it tips at no less than the angle asked for
(10 degrees by default) at any height; supports are not counted for that. The first way is the
choice: the least weighted score among the steady ones; weights are in the workshop file.
Accelerations of a moving bed are estimates (rigid block).
Exit code 0: every part has a way up in a machine; 1: some have not; 2: wrong usage.
`;

async function orient(io: Io, setExit: SetExit, paths: string[], options: Options): Promise<void> {
  const [{ findFiles, loadParts }, { refuseExisting, shownPath, writeOutput }, { progressBar }] =
    await Promise.all([
      import('../session.ts'),
      import('../output.ts'),
      import('../render/progress.ts'),
    ]);
  const workshop = await loadWorkshop(io, options);
  if (options.out !== undefined && !options.force) refuseExisting(io, [options.out]);
  const found = await findFiles(io, paths);
  for (const trouble of found.troubles) io.stderr(`scantling: ${trouble}\n`);

  const bar = progressBar(io, found.files.length, 'orient');
  const parts: Entry[] = [];
  for (const file of found.files) {
    try {
      for (const part of await loadParts(file, options))
        parts.push(await orientPart(part, workshop, options, io));
    } catch (error) {
      parts.push(failed(file.name, error));
    }
    bar.step(file.name);
  }
  bar.end();

  const list: OrientList = { schema: 'scantling/orient-list@1', parts };
  const text = await render(io, list, options);
  if (options.out === undefined) io.stdout(text);
  else {
    await writeOutput(io, options.out, text, options);
    io.stderr(`Wrote ${shownPath(io, options.out)}.\n`);
  }
  if (found.troubles.length || parts.some((p) => !p.result?.ways.length)) setExit(EXIT.incomplete);
}

/** On the first machine of the workshop that has room for it. */
async function orientPart(
  part: ReadPart,
  workshop: Workshop,
  options: Options,
  io: Io,
): Promise<Entry> {
  const { rankOrientations } = await import('@scantling/core');
  const asked: OrientOptions = {
    count: options.count,
    signal: io.signal,
    ...(options.load && { load: options.load }),
    ...(options.clean && { clean: { directions: options.clean } }),
    ...(options.mass !== undefined && { massG: options.mass }),
  };
  try {
    let result: Entry['result'] = null;
    for (const machine of workshop.machines) {
      result = rankOrientations(part.mesh, machine.envelope, {
        ...asked,
        settings: machine.orient,
      });
      if (result.ways.length > 0) break;
    }
    return { name: part.name, result, error: null };
  } catch (error) {
    return failed(part.name, error);
  }
}

/** A part that cannot be judged is a line of the result; a bug or a cancel ends the command. */
function failed(name: string, error: unknown): Entry {
  if (!isKnown(error) || error.code === 'CANCELLED') throw error;
  return { name, result: null, error: { code: error.code, message: explain(error) } };
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
