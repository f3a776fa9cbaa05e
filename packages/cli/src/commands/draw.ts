import { extname, resolve } from 'node:path';
import type { LengthUnit, ViewName } from '@scantling/core';
import { Option, type Command } from 'commander';
import { UsageError } from '../failure.ts';
import type { Io } from '../io.ts';
import { positive, unitOption } from '../options.ts';

interface Options {
  readonly view: ViewName;
  readonly out?: string;
  readonly size: number;
  readonly hidden?: boolean;
  readonly shade: boolean;
  readonly unit?: LengthUnit;
  readonly force?: boolean;
}

const NAMES: readonly ViewName[] = ['iso', 'front', 'back', 'left', 'right', 'top', 'bottom'];

export function register(program: Command, io: Io): void {
  program
    .command('draw')
    .description('a line drawing of a part: outline and creases, hidden lines removed')
    .argument('<file>', 'a part file (.stl, .3mf, .obj)')
    .addOption(new Option('--view <name>', 'where it is seen from').choices(NAMES).default('iso'))
    .option('-o, --out <file>', 'an .svg or .png file; without it SVG goes to the terminal')
    .option('--size <px>', 'length of the longer side of the drawing', positive, 800)
    .option('--hidden', 'draw hidden edges too, dashed')
    .option('--no-shade', 'lines only')
    .addOption(unitOption())
    .option('-f, --force', 'replace a file that exists')
    .addHelpText('after', HELP)
    .action(async (file: string, options: Options) => draw(io, file, options));
}

const HELP = `
Front is what one sees looking along +Y. iso is the isometric view of ISO 5456-3 from the right, the
front and above. Lines follow ISO 128: visible edges wide, hidden edges narrow and dashed.
`;

async function draw(io: Io, file: string, options: Options): Promise<void> {
  const [{ findFiles, loadParts, stem }, { inKitUnits }, output, core] = await Promise.all([
    import('../session.ts'),
    import('../kit-session.ts'),
    import('../output.ts'),
    import('@scantling/core'),
  ]);
  const kind = options.out === undefined ? '.svg' : extname(options.out).toLowerCase();
  if (kind !== '.svg' && kind !== '.png')
    throw new UsageError(`${options.out}: a drawing is written as .svg or .png.`);
  if (options.out !== undefined && !options.force) output.refuseExisting(io, [options.out]);
  const found = (await findFiles(io, [file])).files;
  if (found.length !== 1)
    throw new UsageError(`${file}: give one part file; a folder's parts are drawn by \`report\`.`);
  const [part] = await inKitUnits(io, [], found, options.unit);
  const parts = await loadParts(part as (typeof found)[0], options);
  // All parts of one file in one picture, as they lie in it.
  const mesh = core.joinMeshes(parts.map((part) => part.mesh));

  const view = core.VIEWS[options.view];
  const body = core.drawableOf(mesh);
  const drawing = core.drawView(body, view, options.hidden ? { hidden: true } : {});
  const long = Math.max(
    drawing.maxMm[0] - drawing.minMm[0],
    drawing.maxMm[1] - drawing.minMm[1],
    Number.MIN_VALUE,
  );
  const pxPerMm = (options.size - 8) / long;
  const svg = core.viewSvg(drawing, {
    pxPerMm,
    marginPx: 4,
    ink: '#1c2430',
    title: `${stem(file)}, ${options.view}`,
    wash: options.shade ? core.washOf(mesh, view, pxPerMm) : undefined,
    ...(kind === '.png' && { paper: '#ffffff' }),
  });
  if (options.out === undefined) {
    io.stdout(svg);
    return;
  }
  const data = kind === '.svg' ? svg : await (await import('../render/png.ts')).svgToPng(svg);
  await output.writeOutput(io, options.out, data, options);
  io.stderr(`Wrote ${output.shownPath(io, resolve(io.cwd, options.out))}.\n`);
}
