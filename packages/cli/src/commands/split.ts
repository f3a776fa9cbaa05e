import type { KeepZone, LengthUnit, Rod, SplitReport, Vec3 } from '@scantling/core';
import type { Command } from 'commander';
import { EXIT, type Io, type SetExit } from '../io.ts';
import { jobsOption, loadWorkshop, notNegative, positive, shopOptions, unitOption, wholeAbove0, type ShopOptions } from '../options.ts'; // prettier-ignore
import { parseDirection, parseKeep, parsePlane, parseRod } from '../split-values.ts';

interface Options extends ShopOptions {
  readonly unit?: LengthUnit;
  readonly jobs: number;
  readonly limit: number;
  readonly json?: boolean;
  readonly csv?: boolean;
  readonly out?: string;
  readonly force?: boolean;
  readonly onPlate?: boolean;
  readonly marks: boolean;
  readonly keep?: readonly KeepZone[];
  readonly seamFrom?: Vec3;
  readonly direction?: readonly Vec3[];
  readonly cut?: readonly { normal: Vec3; offsetMm: number }[];
  readonly improve?: boolean;
  readonly pieces?: number;
  readonly leastThickness?: number;
  readonly allowance?: number;
  readonly rod?: readonly Rod[];
  readonly hanging?: number;
}

/** A repeatable option: `parse` gives one value, they are gathered. */
const gather =
  <T>(parse: (text: string) => T) =>
  (text: string, before: readonly T[] = []): readonly T[] => [...before, parse(text)];

export function register(program: Command, io: Io, setExit: SetExit): void {
  shopOptions(
    program
      .command('split')
      .description('cut what does not fit: planes, dowels, the pieces and a cut sheet')
      .argument('<path...>', 'part files (.stl, .3mf, .obj) and folders of them'),
  )
    .addOption(unitOption())
    .option('-o, --out <dir>', 'write pieces, cut sheet, planes and drilling templates there')
    .option('-f, --force', 'replace files that exist')
    .option('--on-plate', 'each piece in its best way up, placed in the middle of its machine, ready to print')
    .option('--no-marks', 'sink no piece marks into the cut faces')
    .option('--cut <plane>', 'a plane by hand, z=210 or 0,1,1=150; may be repeated', gather(parsePlane))
    .option('--improve', 'add cuts where pieces of planes by hand do not fit')
    .option('--keep <zone>', 'no cut or hole here: sphere:X,Y,Z,R or box:X,Y,Z,X,Y,Z; may be repeated', gather(parseKeep))
    .option('--seam-from <direction>', 'side that is seen, -y or 0,-1,0: seams there cost more', parseDirection)
    .option('--direction <direction>', 'cut only square to this; may be repeated', gather(parseDirection))
    .option('--pieces <n>', 'at least so many pieces, also of a part that fits', wholeAbove0)
    .option('--least-thickness <mm>', 'wanted in and beside cuts', notNegative)
    .option('--allowance <mm>', 'room kept free round every piece', notNegative)
    .option('--rod <rod>', 'rod or tube to keep clear, 0,0,0:z:25.4; may be repeated', gather(parseRod))
    .option('--hanging <g>', 'mass hanging from the joints: their estimated strength is held against it', positive)
    .option('--limit <s>', 'time limit per file, seconds', positive, 300)
    .option('--json', 'the result as JSON')
    .option('--csv', 'the planes as CSV')
    .addOption(jobsOption())
    .addHelpText('after', HELP)
    .action(async (paths: string[], options: Options) => split(io, setExit, paths, options));
} // prettier-ignore

const HELP = `
Pieces are written in part coordinates: an STL each and one 3MF with all of them. With --on-plate
each is turned to the way up that \`scantling orient\` would choose and stands on its machine's plate,
base at 0, as an STL and a 3MF of its own, since two would overlap in the middle of one plate. The
STL's origin is the middle of the plate, the 3MF's its front left corner.
Files of one folder named left and right get mirrored plans, the best for both, where the parts are
mirror images; not with --cut, --keep or --direction.
Planes are dot(normal, point) = offset in the part's own coordinates, mm. The number of pieces is
given beside the proved lower bound. Strengths of joints are estimates: nothing that carries people
or hangs overhead may rest on a glued joint alone.
Exit code 0: every part fits or has a plan whose pieces are certified to fit; 1: some have not;
2: wrong usage.
`;

async function split(io: Io, setExit: SetExit, paths: string[], options: Options): Promise<void> {
  const [{ runSplit }, { inKitUnits }, { findFiles }, { splitCsv }, { splitSheet, splitText }] =
    await Promise.all([
      import('../split-run.ts'),
      import('../kit-session.ts'),
      import('../session.ts'),
      import('../render/split-csv.ts'),
      import('../render/split.ts'),
    ]);
  const workshop = await loadWorkshop(io, options);
  const found = await findFiles(io, paths);
  for (const trouble of found.troubles) io.stderr(`scantling: ${trouble}\n`);
  const single = (part: SplitReport['parts'][number]): SplitReport => ({
    schema: 'scantling/split@1',
    machines: workshop.machines.map((m) => m.envelope.name),
    complete: part.state === 'whole' || part.state === 'split',
    parts: [part],
    shopping: part.sheet?.shopping ?? [],
  });
  const files = await inKitUnits(io, paths, found.files, options.unit);
  const report = await runSplit(io, files, workshop, {
    ...(options.unit && { unit: options.unit }),
    jobs: options.jobs,
    limitS: options.limit,
    folder: options.out ?? null,
    force: options.force ?? false,
    part: {
      join: workshop.join,
      holeClearanceOn: Object.fromEntries(
        workshop.machines.map((m) => [m.envelope.name, m.join.holeClearanceMm]),
      ),
      cut: options.out !== undefined,
      onPlate: options.onPlate ?? false,
      orient: workshop.machines.map((machine) => machine.orient),
      marks: options.marks,
      ...(options.rod && { rods: options.rod }),
      ...(options.hanging !== undefined && { loadG: options.hanging }),
      split: {
        settings: {
          ...workshop.split,
          ...(options.leastThickness !== undefined && { leastThicknessMm: options.leastThickness }),
          ...(options.allowance !== undefined && { allowanceMm: options.allowance }),
        },
        ...(options.keep && { keep: options.keep }),
        ...(options.seamFrom && { seamFrom: options.seamFrom }),
        ...(options.direction && { directions: options.direction }),
        ...(options.cut && { planes: options.cut }),
        ...(options.improve && { improve: true }),
        ...(options.pieces && { pieces: options.pieces }),
      },
    },
    also: (part, stem) =>
      Promise.resolve([
        { name: `${stem}.split.json`, data: `${JSON.stringify(single(part), null, 2)}\n` },
        { name: `${stem}.planes.csv`, data: splitCsv(single(part)) },
        { name: `${stem}.cut-sheet.txt`, data: splitSheet(part) },
      ]),
  });
  if (options.json) io.stdout(`${JSON.stringify(report, null, 2)}\n`);
  else if (options.csv) io.stdout(splitCsv(report));
  else io.stdout(splitText(report, io.columns ?? 80));
  if (options.out !== undefined) io.stderr(`Wrote to ${options.out}.\n`);
  if (io.signal.aborted) setExit(EXIT.interrupted);
  else if (found.troubles.length > 0 || !report.complete) setExit(EXIT.incomplete);
}
