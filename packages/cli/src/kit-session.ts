import { existsSync, statSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { dirname, join, resolve } from 'node:path';
import type { Attempt, Kit, KitPart, LengthUnit, Ready, Workshop } from '@scantling/core';
import { cacheFolder, sweepCache } from './cache.ts';
import { explain, UsageError } from './failure.ts';
import type { Io } from './io.ts';
import { shownPath } from './output.ts';
import { runPool } from './pool.ts';
import { progressBar } from './render/progress.ts';
import type { FoundFile } from './session.ts';
import type { MakeAnswer, MakeJob, MakeSetup } from './tasks/make.ts';
import { version } from './version.ts';

export const KIT_FILE = 'kit.yaml';
export const LOG_FILE = 'print-log.jsonl';

export interface OpenKit {
  readonly kit: Kit;
  readonly folder: string;
  readonly kitPath: string;
  readonly logPath: string;
}

/** Where the kit file of a folder (or the file itself) is, whether or not it exists. */
export function kitPathOf(io: Io, given: string): string {
  const path = resolve(io.cwd, given);
  return existsSync(path) && statSync(path).isDirectory() ? join(path, KIT_FILE) : path;
}

/** @throws `NO_SUCH_KIT`, and what `parseKit` throws */
export async function openKit(io: Io, given: string): Promise<OpenKit> {
  const kitPath = kitPathOf(io, given);
  if (!existsSync(kitPath))
    throw new UsageError(`${shownPath(io, kitPath)}: no kit file; write one with \`scantling kit FOLDER\`.`, 'NO_SUCH_KIT'); // prettier-ignore
  const { parseKit } = await import('@scantling/core');
  const folder = dirname(kitPath);
  return {
    kit: parseKit(await readFile(kitPath, 'utf8'), shownPath(io, kitPath)),
    folder,
    kitPath,
    logPath: join(folder, LOG_FILE),
  };
}

/**
 * What kit files say of part files, by path: those in the folders given and beside the files. A kit
 * file that cannot be read is told on stderr and passed over: parts are looked into without one, too.
 */
export async function kitPartsOf(
  io: Io,
  given: readonly string[],
  files: readonly FoundFile[],
): Promise<ReadonlyMap<string, KitPart>> {
  const known = new Map<string, KitPart>();
  const named = given.map((path) => resolve(io.cwd, path));
  for (const folder of new Set([...named, ...files.map(({ path }) => dirname(path))])) {
    const kitPath = join(folder, KIT_FILE);
    if (!existsSync(kitPath)) continue;
    try {
      for (const part of (await openKit(io, kitPath)).kit.parts)
        known.set(resolve(folder, part.file), part);
    } catch (error) {
      io.stderr(`scantling: ${explain(error)}\n`);
    }
  }
  return known;
}

/**
 * The files with the units that a kit gives. Millimetres are what a kit file says of every part until
 * somebody changes it, and what everybody takes without one: they count as not said.
 */
export const inUnits = (
  files: readonly FoundFile[],
  unitOf: (file: FoundFile) => LengthUnit | null | undefined,
): FoundFile[] =>
  files.map((file) => {
    const unit = unitOf(file);
    return unit && unit !== 'mm' ? { ...file, unit } : file;
  });

/**
 * The same by the kit files in the folders given and beside the files.
 * @param unit the one of the command line: where there is one, no kit file is asked
 */
export async function inKitUnits(
  io: Io,
  given: readonly string[],
  files: readonly FoundFile[],
  unit: LengthUnit | undefined,
): Promise<readonly FoundFile[]> {
  if (unit) return files;
  const known = await kitPartsOf(io, given, files);
  return inUnits(files, ({ path }) => known.get(path)?.unit);
}

/** The tries in the log beside a kit; damaged lines are named on stderr. */
export async function readAttempts(io: Io, logPath: string): Promise<Attempt[]> {
  if (!existsSync(logPath)) return [];
  const { attemptsOf, parseLog } = await import('@scantling/core');
  const { entries, damaged } = parseLog(await readFile(logPath, 'utf8'));
  for (const d of damaged)
    io.stderr(`scantling: ${shownPath(io, logPath)}, line ${d.line}: passed over, ${d.why}.\n`);
  return attemptsOf(entries);
}

export interface Made {
  readonly part: KitPart;
  readonly answer: MakeAnswer;
}

/** What is wanted of one part beside the machines. */
export interface MakeWish {
  readonly part: KitPart;
  readonly path: string;
  readonly recipes: MakeJob['recipes'];
  /** Also compare whole and cut up. Default false. */
  readonly cutUp?: boolean;
  /** The part that it is said to be a copy or mirror image of: computed once, it serves both. */
  readonly alike?: string | null;
}

/** Where the part lies that this one is a copy or mirror image of, as the kit file says. */
export function alikePath(part: KitPart, folder: string): string | null {
  const of = part.copyOf ?? part.twinOf;
  return of === undefined ? null : resolve(folder, of);
}

/** Whether one's answer may serve the other: the same is asked of both. */
const sameWish = (a: MakeWish, b: MakeWish): boolean =>
  a.part.material === b.part.material &&
  a.part.unit === b.part.unit &&
  Boolean(a.cutUp) === Boolean(b.cutUp) &&
  JSON.stringify(a.recipes) === JSON.stringify(b.recipes);

/**
 * Turns, weighs and times parts in worker threads; copies and mirror images after the parts that they
 * are like, whose answers they take over where the meshes bear it out.
 */
export async function makeParts(
  io: Io,
  wishes: readonly MakeWish[],
  workshop: Workshop,
  options: { readonly asModelled: boolean; readonly jobs: number; readonly cache: boolean },
): Promise<Made[]> {
  const { unmade } = await import('./tasks/make.ts');
  const folder = options.cache ? cacheFolder(io.env) : null;
  const answers = new Map<string, MakeAnswer>();
  const bar = progressBar(io, wishes.length, 'estimate');
  const first: MakeWish[] = [];
  const later: { wish: MakeWish; source: MakeWish }[] = [];
  for (const wish of wishes) {
    if (!existsSync(wish.path)) {
      answers.set(wish.part.file, unmade('no such file'));
      bar.step(wish.part.file);
      continue;
    }
    const source = wishes.find((w) => w.path === wish.alike && w !== wish);
    if (source && !source.alike && existsSync(source.path) && sameWish(source, wish))
      later.push({ wish, source });
    else first.push(wish);
  }
  const jobOf = (wish: MakeWish, like: MakeJob['like']): MakeJob => {
    const { part, path, recipes, cutUp = false } = wish;
    return { path, name: part.file, bytes: statSync(path).size, unit: part.unit, material: part.material, recipes, cutUp, like }; // prettier-ignore
  };
  const make = (jobs: readonly MakeJob[]): Promise<void> =>
    runPool<MakeJob, MakeAnswer>({
      task: 'make',
      setup: {
        machines: workshop.machines.map(({ envelope, estimate, orient }) => ({ envelope, estimate, orient })), // prettier-ignore
        materials: workshop.materials,
        asModelled: options.asModelled,
        split: workshop.split,
        join: workshop.join,
        cacheFolder: folder,
        version: version(),
      } satisfies MakeSetup,
      jobs: [...jobs].sort((a, b) => b.bytes - a.bytes),
      threads: options.jobs,
      signal: io.signal,
      onResult: (job, answer) => {
        answers.set(job.name, answer);
        bar.step(job.name);
      },
      onFailure: (job, failure) => {
        answers.set(job.name, unmade(failure.message));
        bar.step(`${job.name}: ${failure.code}`);
      },
    });
  await make(first.map((wish) => jobOf(wish, null)));
  await make(
    later.map(({ wish, source }) => {
      const answer = answers.get(source.part.file);
      return jobOf(wish, answer?.ready.length ? { path: source.path, answer } : null);
    }),
  );
  bar.end();
  if (folder !== null) await sweepCache(folder);
  return wishes.map(({ part }) => ({
    part,
    answer: answers.get(part.file) ?? unmade('stopped before its turn'),
  }));
}

export type { Ready };
