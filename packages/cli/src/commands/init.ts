import type { Command } from 'commander';
import type { Io } from '../io.ts';
import { WORKSHOP_FILE } from '../options.ts';
import { shownPath, writeOutput } from '../output.ts';

export function register(program: Command, io: Io): void {
  program
    .command('init')
    .description('write a first workshop file, every setting explained in it')
    .argument('[file]', 'where to write it', WORKSHOP_FILE)
    .option('-f, --force', 'replace a file that exists')
    .action(async (file: string, options: { force?: boolean }) => {
      const { workshopTemplate } = await import('@scantling/core');
      await writeOutput(io, file, workshopTemplate(), options);
      io.stdout(
        `Wrote ${shownPath(io, file)}. Put your machines in it, then: scantling scan FOLDER\n`,
      );
    });
}
