import type { LengthUnit, Scan, ScanPart } from '@scantling/core';
import type { Command } from 'commander';
import { EXIT, type Io, type SetExit } from '../io.ts';
import {
  cacheOption,
  fraction,
  jobsOption,
  loadWorkshop,
  outputOptions,
  shopOptions,
  unitOption,
  type OutputOptions,
  type ShopOptions,
} from '../options.ts';

interface Options extends ShopOptions, OutputOptions {
  readonly unit?: LengthUnit;
  readonly precision: number;
  readonly jobs: number;
  readonly cache: boolean;
  readonly orient?: boolean;
}

export function register(program: Command, io: Io, setExit: SetExit): void {
  const command = program
    .command('scan')
    .description(
      'which parts fit as they are, turned or tilted, which must be split, which are broken',
    )
    .argument('<path...>', 'part files (.stl, .3mf, .obj) and folders of them');
  outputOptions(shopOptions(command))
    .addOption(unitOption())
    .option('-p, --precision <share>', 'wanted width of the scale interval', fraction, 0.001)
    .option('--orient', 'also the supports: as modelled, and in the best way up')
    .addOption(jobsOption())
    .addOption(cacheOption())
    .addHelpText('after', HELP)
    .action(async (paths: string[], options: Options) => scan(io, setExit, paths, options));
}

const HELP = `
Verdicts, worst first:
  unreadable  the file is broken; what is wrong and what to do is said below the table
  undecided   neither a placement nor a proof of the contrary was found
  split N+    fits in no orientation (proved); fewer than N pieces are impossible (proved)
  tilt        fits once tilted; turn it by the angles that --json and wide terminals give
  turn        fits once turned about the vertical, same face down
  fits        fits as modelled
Scale is the largest uniform scale that fits; room is the least clearance left, margins taken off.
With --orient, supports are the space under overhangs in cm3, as modelled -> in the
steady way up that needs least (a part as modelled may need less and still fall over).
Exit code 0: every part was read and decided; 1: some were not; 2: wrong usage.
`;

async function scan(io: Io, setExit: SetExit, paths: string[], options: Options): Promise<void> {
  const [{ runScan }, { inKitUnits }, { findFiles }, { refuseExisting, shownPath, writeOutput }] =
    await Promise.all([
      import('../scan-run.ts'),
      import('../kit-session.ts'),
      import('../session.ts'),
      import('../output.ts'),
    ]);
  const workshop = await loadWorkshop(io, options);
  if (options.out !== undefined && !options.force) refuseExisting(io, [options.out]);
  const found = await findFiles(io, paths);
  for (const trouble of found.troubles) io.stderr(`scantling: ${trouble}\n`);

  const files = await inKitUnits(io, paths, found.files, options.unit);
  const result = await runScan(io, files, workshop, options);
  const text = await render(io, result, options);
  if (options.out === undefined) io.stdout(text);
  else {
    await writeOutput(io, options.out, text, options);
    io.stderr(`Wrote ${shownPath(io, options.out)}.\n`);
  }
  const decided = ({ verdict }: ScanPart): boolean =>
    verdict !== 'unreadable' && verdict !== 'undecided';
  if (!result.complete) setExit(EXIT.interrupted);
  else if (found.troubles.length || !result.parts.every(decided)) setExit(EXIT.incomplete);
}

async function render(io: Io, result: Scan, options: Options): Promise<string> {
  if (options.json) return `${JSON.stringify(result, null, 2)}\n`;
  if (options.csv) return (await import('../render/scan-csv.ts')).scanCsv(result);
  const [{ scanText }, { styleFor }] = await Promise.all([
    import('../render/scan.ts'),
    import('../render/style.ts'),
  ]);
  const toFile = options.out !== undefined;
  return scanText(
    result,
    (!toFile && io.columns) || 80,
    styleFor({ colour: io.colour && !toFile }),
  );
}
