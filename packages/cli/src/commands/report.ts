import type { LengthUnit } from '@scantling/core';
import type { Command } from 'commander';
import { EXIT, type Io, type SetExit } from '../io.ts';
import { fraction, jobsOption, loadWorkshop, shopOptions, unitOption, type ShopOptions } from '../options.ts'; // prettier-ignore

export interface ReportOptions extends ShopOptions {
  readonly unit?: LengthUnit;
  readonly out: string;
  readonly force?: boolean;
  readonly jobs: number;
  readonly cache: boolean;
  readonly precision: number;
  readonly with?: readonly string[];
  readonly kit?: string;
  readonly title?: string;
  readonly sheets?: string;
  readonly letter?: boolean;
}

export function register(program: Command, io: Io, setExit: SetExit): void {
  shopOptions(
    program
      .command('report')
      .description('one page with pictures of a whole kit, and sheets for the bench')
      .argument('<path>', 'a folder of parts, one part file, or the JSON of a scan'),
  )
    .addOption(unitOption())
    .option('-o, --out <file>', 'the page', 'report.html')
    .option('-f, --force', 'replace files that exist')
    .option('--with <file...>', 'JSON of other commands to show: split, orient, estimate, plan')
    .option('--kit <file>', 'kit file (default: kit.yaml among the parts, if there is one)')
    .option('--title <text>', "the page's title (default: the kit's or the folder's name)")
    .option('--sheets <dir>', 'also write the bench sheets there, PDF and SVG at 1:1')
    .option('--letter', 'sheets on Letter paper instead of A4')
    .option('-p, --precision <share>', 'wanted width of the scale interval', fraction, 0.001)
    .addOption(jobsOption())
    .option('--no-cache', 'neither use nor keep earlier answers')
    .addHelpText('after', HELP)
    .action(async (path: string, options: ReportOptions) => report(io, setExit, path, options));
}

const HELP = `
The page is a single file: no fonts, scripts or pictures from elsewhere. Results of other commands
that lie among the parts as .json files are shown as well. Print sheets at 100 % and measure the
check bar.
`;

async function report(
  io: Io,
  setExit: SetExit,
  path: string,
  options: ReportOptions,
): Promise<void> {
  // prettier-ignore
  const [{ makeReport }, output] = await Promise.all([
    import('../report-run.ts'),
    import('../output.ts'),
  ]);
  // The piece list is among the sheets of every kit.
  const outputs = options.sheets === undefined ? [options.out] : [options.out, `${options.sheets}/piece-list.pdf`]; // prettier-ignore
  if (!options.force) output.refuseExisting(io, outputs);
  const made = await makeReport(io, path, options, () => loadWorkshop(io, options));
  await output.writeOutput(io, options.out, made.page, options);
  for (const file of made.sheets)
    await output.writeOutput(io, `${options.sheets as string}/${file.name}`, file.data, options);
  io.stderr(`Wrote ${output.shownPath(io, options.out)} (${(Buffer.byteLength(made.page) / 1e6).toFixed(1)} MB)${made.sheets.length ? ` and ${made.sheets.length} sheets in ${options.sheets}` : ''}.\n`); // prettier-ignore
  for (const word of made.troubles) io.stderr(`scantling: ${word}\n`);
  if (io.signal.aborted) setExit(EXIT.interrupted);
  else if (made.troubles.length) setExit(EXIT.incomplete);
}
