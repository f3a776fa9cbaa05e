import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { Command } from 'commander';
import { commands } from '../src/commands/index.ts';
import { EXIT } from '../src/io.ts';
import { runCommand } from '../src/program.ts';
import { testIo } from './testIo.ts';

const folder = mkdtempSync(join(tmpdir(), 'scantling-program-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('the command line', () => {
  it('prints its help on stdout when asked and when nothing is asked', async () => {
    const [asked, silent] = [testIo(), testIo()];
    expect(await runCommand(['--help'], asked)).toBe(EXIT.ok);
    expect(await runCommand([], silent)).toBe(EXIT.ok);
    expect(asked.out).toBe(silent.out);
    expect(asked.out.match(/^ {2}[a-z]+ .*$/gm)?.length).toBeGreaterThanOrEqual(commands.length);
    expect(asked.out.split('\n').every((line) => line.length <= 80)).toBe(true);
    expect(asked.err).toBe('');
  });

  it.each(commands)('shows on the help page what the file of $name says', async (entry) => {
    const program = new Command();
    (await entry.load()).register(program, testIo(), () => undefined);
    const [command] = program.commands;
    expect(program.commands.length).toBe(1);
    expect(command?.name()).toBe(entry.name);
    expect(command?.description()).toBe(entry.summary);
    expect(command?.usage()).toBe(entry.usage);
  });

  it('gives the version of the package', async () => {
    const io = testIo();
    const { version } = JSON.parse(
      readFileSync(new URL('../package.json', import.meta.url), 'utf8'),
    ) as { version: string };
    expect(await runCommand(['--version'], io)).toBe(EXIT.ok);
    expect(io.out).toBe(`${version}\n`);
  });

  it.each([
    [['scam'], "scantling: unknown command 'scam' (Did you mean scan?)\n"],
    [['init', '--bogus'], "scantling: unknown option '--bogus'\n"],
    [['scan'], "scantling: missing required argument 'path'\n"],
    [['scan', 'x', '--jobs', '0'], "scantling: option '-j, --jobs <n>' argument '0' is invalid. It must be a whole number from 1.\n"],
    [['scan', 'x', '--precision', '2'], "scantling: option '-p, --precision <share>' argument '2' is invalid. It must lie between 0 and 1, or be a percentage such as 0.1%.\n"],
    [['scan', 'x', '-e', '220x220'], 'scantling: "220x220" is no build envelope. Give width x depth x height in mm, such as 220x220x250, or d, diameter x height for a round plate, such as d300x400.\n'],
    [['scan', 'x'], 'scantling: which machines? Give --envelope 220x220x250 or --shop FILE, or write a workshop.yaml with `scantling init`.\n'],
    [['scan', 'x', '--shop', 'none.yaml'], 'scantling: none.yaml: no such workshop file.\n'],
    [['scan', 'x', '-e', '1x1x1', '--margin', '1'], 'scantling: 1x1x1: a top margin of 1 mm takes all the height. Make it smaller.\n'],
    [['scan', 'x', '-e', '1x1x1'], 'scantling: x: no such file or folder.\n'],
    [['scan', '.', '-e', '1x1x1'], 'scantling: .: no part files here; parts end in .stl, .3mf or .obj.\n'],
    [['scan', '.', '-e', '1x1x1', '--json', '--csv'], "scantling: option '--json' cannot be used with option '--csv'\n"],
  ])('answers wrong usage %j with code 2 and one line on stderr', async (argv, line) => {
    const io = testIo({ cwd: folder });
    expect(await runCommand(argv, io)).toBe(EXIT.usage);
    expect(io.err).toBe(line);
    expect(io.out).toBe('');
  }); // prettier-ignore

  it('calls a bug a bug, with its stack', async () => {
    const io = testIo({
      cwd: folder,
      stdout: () => {
        throw new TypeError('broken on purpose');
      },
    });
    expect(await runCommand(['init', 'bug.yaml'], io)).toBe(EXIT.fault);
    expect(io.err).toMatch(/^scantling: this is a fault in scantling itself.*\nTypeError: broken/);
  });
});

describe('scantling init', () => {
  it('writes a file once, and again only with --force', async () => {
    const io = testIo({ cwd: folder });
    expect(await runCommand(['init'], io)).toBe(EXIT.ok);
    expect(io.out).toBe(
      'Wrote workshop.yaml. Put your machines in it, then: scantling scan FOLDER\n',
    );
    const text = readFileSync(join(folder, 'workshop.yaml'), 'utf8');
    expect(await runCommand(['init'], io)).toBe(EXIT.usage);
    expect(io.err).toBe('scantling: workshop.yaml exists already; give --force to replace it.\n');
    expect(await runCommand(['init', '--force'], io)).toBe(EXIT.ok);
    expect(readFileSync(join(folder, 'workshop.yaml'), 'utf8')).toBe(text);
    expect(await runCommand(['init', 'deep/er/shop.yaml'], io)).toBe(EXIT.ok);
    expect(existsSync(join(folder, 'deep/er/shop.yaml'))).toBe(true);
  });
});
