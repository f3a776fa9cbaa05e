import { readFile } from 'node:fs/promises';
import { existsSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { resolve } from 'node:path';
import type { Workshop } from '@scantling/core';
import { InvalidArgumentError, Option, type Command } from 'commander';
import { UsageError } from './failure.ts';
import type { Io } from './io.ts';
import { shownPath } from './output.ts';

/** Options that several commands share, declared once so that help and meaning can't drift apart. */

/** Looked for in the current folder when no `--shop` and no `--envelope` is given. */
export const WORKSHOP_FILE = 'workshop.yaml';

export interface ShopOptions {
  readonly shop?: string;
  readonly envelope?: readonly string[];
  readonly margin?: number;
}

/** `--shop`, `--envelope`, `--margin`: which machines there are. */
export const shopOptions = (command: Command): Command =>
  command
    .option('-s, --shop <file>', `workshop file (default: ${WORKSHOP_FILE} here, if there is one)`)
    .option(
      '-e, --envelope <WxDxH>',
      'build envelope in mm, or dDxH for a round plate; may be repeated, replaces the workshop file',
      (text: string, before: readonly string[] = []) => [...before, text],
    )
    .option(
      '--margin <mm>',
      "free space at the sides and the top, replaces the machines' own",
      notNegative,
    );

/**
 * The machines to work with: `--envelope`s, else the workshop file.
 * @throws `WORKSHOP_MISSING` with the ways out when neither is there
 */
export async function loadWorkshop(io: Io, options: ShopOptions): Promise<Workshop> {
  const { parseEnvelope, parseWorkshop, withMargins, workshopOf, checkEnvelope } =
    await import('@scantling/core');
  const given = options.envelope?.map(parseEnvelope);
  const shop =
    given && !options.shop ? workshopOf(given) : await readShop(io, options.shop, parseWorkshop);
  const machines = given && options.shop ? workshopOf(given).machines : shop.machines;
  const { margin } = options;
  return {
    ...shop,
    machines:
      margin === undefined
        ? machines
        : machines.map((machine) => ({
            ...machine,
            envelope: checkEnvelope(
              withMargins(machine.envelope, { sideMm: margin, topMm: margin }),
            ),
          })),
  };
}

/** The workshop file of `--shop`, or the one here; null when there is none and none was named. */
export async function findWorkshop(io: Io, shop: string | undefined): Promise<Workshop | null> {
  if (shop === undefined && !existsSync(resolve(io.cwd, WORKSHOP_FILE))) return null;
  const { parseWorkshop } = await import('@scantling/core');
  return readShop(io, shop, parseWorkshop);
}

async function readShop(
  io: Io,
  given: string | undefined,
  parse: (text: string, file: string) => Workshop,
): Promise<Workshop> {
  const path = resolve(io.cwd, given ?? WORKSHOP_FILE);
  if (!existsSync(path))
    throw new UsageError(
      given
        ? `${given}: no such workshop file.`
        : `which machines? Give --envelope 220x220x250 or --shop FILE, or write a ${WORKSHOP_FILE} with \`scantling init\`.`,
      'WORKSHOP_MISSING',
    );
  return parse(await readFile(path, 'utf8'), shownPath(io, path));
}

export const unitOption = (): Option =>
  new Option(
    '-u, --unit <unit>',
    'unit of STL and OBJ files, which carry none (default: of the kit file, else mm)',
  ).choices(['mm', 'cm', 'in', 'm']);

export interface OutputOptions {
  readonly json?: boolean;
  readonly csv?: boolean;
  readonly out?: string;
  readonly force?: boolean;
}

/** `--json`, `--csv`, `--out`, `--force` for commands with one result. */
export const outputOptions = (command: Command): Command =>
  command
    .addOption(new Option('--json', 'the result as JSON').conflicts('csv'))
    .option('--csv', 'the result as CSV')
    .option('-o, --out <file>', 'write to a file instead of the terminal')
    .option('-f, --force', 'replace files that exist');

export const jobsOption = (): Option =>
  new Option('-j, --jobs <n>', 'parts worked on at a time')
    .argParser(wholeAbove0)
    .default(availableParallelism(), 'one per core');

export const cacheOption = (): Option =>
  new Option('--no-cache', 'neither use nor keep earlier answers');

const number = (text: string): number => {
  const value = text.trim() === '' ? NaN : Number(text);
  if (!Number.isFinite(value)) throw new InvalidArgumentError('It must be a number.');
  return value;
};

/** A number above 0. */
export const positive = (text: string): number => {
  const value = number(text);
  if (value <= 0) throw new InvalidArgumentError('It must be above 0.');
  return value;
};

/** A number, 0 or more. */
export const notNegative = (text: string): number => {
  const value = number(text);
  if (value < 0) throw new InvalidArgumentError('It must not be below 0.');
  return value;
};

/** 1, 2, 3 ... */
export const wholeAbove0 = (text: string): number => {
  const value = number(text);
  if (!Number.isInteger(value) || value < 1)
    throw new InvalidArgumentError('It must be a whole number from 1.');
  return value;
};

/** A share such as 0.001 or 0.1%, above 0 and below 1. */
export const fraction = (text: string): number => {
  const percent = /^(.*)%\s*$/.exec(text);
  const value = percent ? number(percent[1] ?? '') / 100 : number(text);
  if (!(value > 0 && value < 1))
    throw new InvalidArgumentError('It must lie between 0 and 1, or be a percentage such as 0.1%.');
  return value;
};
