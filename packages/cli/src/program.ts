import { Command, CommanderError, Help } from 'commander';
import { commands } from './commands/index.ts';
import { exitCodeOf, explain } from './failure.ts';
import { EXIT, type Io, type SetExit } from './io.ts';
import { version } from './version.ts';

/**
 * The command tree; it touches the outside only through `io` and never ends the process. Of its
 * commands only the one that `argv` asks for is loaded, the others are there for the help page.
 */
export async function makeProgram(
  io: Io,
  setExit: SetExit,
  argv: readonly string[],
): Promise<Command> {
  const width = io.columns ?? 80;
  const program = new Command('scantling')
    .description('From a folder of parts to a printed figure: scan, turn, split, plan.')
    .version(version(), '--version', 'print the version')
    .helpOption('-h, --help', 'show help')
    .helpCommand('help [command]', 'show help for a command')
    .option('--no-color', 'plain text, no colours (NO_COLOR does the same)')
    .exitOverride()
    .configureOutput({
      writeOut: io.stdout,
      writeErr: io.stderr,
      getOutHelpWidth: () => width,
      getErrHelpWidth: () => width,
      getOutHasColors: () => io.colour,
      getErrHasColors: () => false,
      outputError: (text, write) => write(`scantling: ${oneLine(text)}\n`),
    });
  const usages = new Map(commands.map(({ name, usage }) => [name, `${name} ${usage}`]));
  const own = new Help();
  program.configureHelp({
    subcommandTerm: (command) =>
      (command.parent === program ? usages.get(command.name()) : undefined) ??
      own.subcommandTerm(command),
  });
  const words = argv.filter((word) => !word.startsWith('-'));
  const asked = words[0] === 'help' ? words[1] : words[0];
  for (const { name, summary, load } of commands)
    if (name === asked) (await load()).register(program, io, setExit);
    else program.command(name).description(summary);
  return program;
}

/** Runs one command line and gives the exit code; what went wrong is on stderr in one line. */
export async function runCommand(argv: readonly string[], io: Io): Promise<number> {
  let code: number = EXIT.ok;
  const program = await makeProgram(io, (given) => (code = given), argv);
  try {
    if (argv.length === 0) program.outputHelp();
    else await program.parseAsync(argv, { from: 'user' });
    return code;
  } catch (error) {
    // Commander has already written its own line.
    if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.ok : EXIT.usage;
    io.stderr(`scantling: ${explain(error)}\n`);
    return exitCodeOf(error);
  }
}

/** Commander's "error: ...\n(Did you mean ...?)" as one sentence. */
const oneLine = (text: string): string =>
  text
    .replace(/^error: /, '')
    .trim()
    .replace(/\s*\n\s*/g, ' ');
