#!/usr/bin/env node
import process from 'node:process';
import { EXIT, type Io } from './io.ts';
import { version } from './version.ts';

const argv = process.argv.slice(2);
const cancel = new AbortController();

// The first Ctrl-C asks the work to stop and keep what is done; the second does not ask.
const onInterrupt = () => {
  if (cancel.signal.aborted) process.exit(EXIT.interrupted);
  cancel.abort();
};
process.on('SIGINT', onInterrupt);
process.on('SIGTERM', onInterrupt);

// A reader that has seen enough (`| head`) is no fault; a full disk behind `>` is told in a line.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit(process.exitCode ?? EXIT.ok);
  process.stderr.write(
    `scantling: the output could not be written (${error.code ?? error.message}).\n`,
  );
  process.exit(EXIT.incomplete);
});

const plain = Boolean(process.env['NO_COLOR']) || argv.includes('--no-color');
const io: Io = {
  stdout: (text) => void process.stdout.write(text),
  stderr: (text) => void process.stderr.write(text),
  cwd: process.cwd(),
  env: process.env,
  columns: process.stdout.isTTY ? process.stdout.columns || 80 : null,
  interactive: process.stderr.isTTY && process.env['TERM'] !== 'dumb',
  colour: process.stdout.isTTY && !plain && process.env['TERM'] !== 'dumb',
  signal: cancel.signal,
  now: () => new Date(),
};

if (argv.length === 1 && argv[0] === '--version') io.stdout(`${version()}\n`);
else process.exitCode = await (await import('./program.ts')).runCommand(argv, io);
