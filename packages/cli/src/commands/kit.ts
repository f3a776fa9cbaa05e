import { existsSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { basename, dirname, relative } from 'node:path';
import type { KitResult, Mesh } from '@scantling/core';
import type { Command } from 'commander';
import { EXIT, type Io, type SetExit } from '../io.ts';
import { unitOption } from '../options.ts';

interface Options {
  readonly name?: string;
  readonly unit?: 'mm' | 'cm' | 'in' | 'm';
  readonly json?: boolean;
  readonly check?: boolean;
}

export function register(program: Command, io: Io, setExit: SetExit): void {
  program
    .command('kit')
    .description('write or update kit.yaml beside the parts; find copies and mirror images')
    .argument('<folder>', 'folder of the parts, or its kit file')
    .option('--name <text>', 'name of the kit, for a first file (default: of the folder)')
    .addOption(unitOption())
    .option('--check', 'only look; write nothing')
    .option('--json', 'the result as JSON')
    .action(async (folder: string, options: Options) => run(io, setExit, folder, options));
}

async function run(io: Io, setExit: SetExit, given: string, options: Options): Promise<void> {
  const [core, { kitPathOf }, { findFiles, loadParts, byName }, { writeOutput, shownPath }] =
    await Promise.all([
      import('@scantling/core'),
      import('../kit-session.ts'),
      import('../session.ts'),
      import('../output.ts'),
    ]);
  const kitPath = kitPathOf(io, given);
  const folder = dirname(kitPath);
  const found = await findFiles(io, [folder]);
  const old = existsSync(kitPath) ? await readFile(kitPath, 'utf8') : null;
  const before = old === null ? undefined : core.parseKit(old, shownPath(io, kitPath));
  const units = new Map(before?.parts.map((p) => [p.file, p.unit]));

  const parts: { file: string; mesh: Mesh }[] = [];
  const unreadable: KitResult['unreadable'] = [];
  for (const file of found.files) {
    const name = relative(folder, file.path).replaceAll('\\', '/');
    try {
      const read = await loadParts(file, { unit: units.get(name) ?? options.unit });
      for (const part of read.slice(0, 1)) parts.push({ file: name, mesh: part.mesh });
    } catch (error) {
      if (!(error instanceof core.ScantlingError)) throw error;
      unreadable.push({ file: name, because: error.message });
    }
  }
  const survey = core.surveyKit(parts, before);
  const files = [...parts.map((p) => p.file), ...unreadable.map((u) => u.file)].sort(byName);
  const rows = files.map((file) => {
    const like = survey.alike.find((a) => a.file === file);
    return {
      file,
      ...(options.unit && options.unit !== 'mm' && { unit: options.unit }),
      ...(like && { [like.kind === 'copy' ? 'copyOf' : 'twinOf']: like.of }),
    };
  });
  const name = options.name ?? basename(folder);
  const update = core.updateKit(old, rows, name, shownPath(io, kitPath));
  const kit = core.parseKit(update.text, shownPath(io, kitPath));
  if (!options.check && update.text !== old)
    await writeOutput(io, kitPath, update.text, { force: true });
  const result: KitResult = {
    schema: 'scantling/kit@1',
    name: kit.name,
    parts: kit.parts.length,
    pieces: kit.parts.reduce((n, p) => n + p.quantity, 0),
    added: [...update.added],
    gone: [...update.gone],
    ...survey,
    unreadable,
  };
  const { kitText } = await import('../render/kit.ts');
  io.stdout(options.json ? `${JSON.stringify(result, null, 2)}\n` : kitText(result, shownPath(io, kitPath), io.columns ?? 80)); // prettier-ignore
  if (unreadable.length > 0 || result.gone.length > 0) setExit(EXIT.incomplete);
}
