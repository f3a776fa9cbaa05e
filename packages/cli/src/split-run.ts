import { basename, dirname, join } from 'node:path';
import type {
  LengthUnit,
  SplitPart,
  SplitPartOptions,
  SplitReport,
  Workshop,
} from '@scantling/core';
import type { Io } from './io.ts';
import { refuseSplits, writeOutput } from './output.ts';
import { runPool } from './pool.ts';
import { progressBar } from './render/progress.ts';
import { byName, outputStems, type FoundFile } from './session.ts';
import type { SplitAnswer, SplitJob, SplitSetup } from './tasks/split.ts';

export interface SplitRunOptions {
  readonly unit?: LengthUnit;
  readonly jobs: number;
  readonly limitS: number;
  readonly part: SplitPartOptions;
  /** Folder for everything that is written; null: nothing. */
  readonly folder: string | null;
  readonly force?: boolean;
  /** Beside the pieces: what else is written per part. */
  readonly also: (part: SplitPart, stem: string) => Promise<{ name: string; data: string }[]>;
}

/**
 * Splits files in worker threads, each with a time limit, and writes what they give as it comes.
 * On Ctrl-C the parts that are done stay, and the report says that it is not complete.
 * @throws `OUTPUT_EXISTS` before any work, and what the disk says when it can't be written
 */
export async function runSplit(
  io: Io,
  files: readonly FoundFile[],
  workshop: Workshop,
  options: SplitRunOptions,
): Promise<SplitReport> {
  const core = await import('@scantling/core');
  const envelopes = workshop.machines.map((machine) => machine.envelope);
  const parts: SplitPart[] = [];
  const stems = outputStems(files.map((file) => file.name));
  if (options.folder !== null && !options.force)
    refuseSplits(io, options.folder, stems.values());
  const writing: Promise<void>[] = [];
  // A disk that is full ends the run: what comes after could not be kept either.
  const broken = new AbortController();
  let trouble: Error | undefined;
  const bar = progressBar(io, files.length, 'split');
  const byPlace = new Map(files.map((file) => [placeOf(file.path), file]));
  /** The file in the same folder that is named for the other side, as right is for left. */
  const twinOf = (path: string): FoundFile | null => {
    const name = core.otherSide(basename(path));
    return (name !== null && byPlace.get(placeOf(path, name))) || null;
  };
  const write = (name: string, data: string | Uint8Array): void => {
    if (options.folder !== null)
      writing.push(
        writeOutput(io, join(options.folder, name), data, { force: options.force }).catch(
          (error: Error) => {
            trouble ??= error;
            broken.abort();
          },
        ),
      );
  };
  await runPool<SplitJob, SplitAnswer>({
    task: 'split',
    setup: { envelopes, unit: options.unit ?? null, options: options.part } satisfies SplitSetup,
    jobs: files
      .map((file) => ({
        ...file,
        stem: stems.get(file.name) as string,
        twin: twinOf(file.path),
      }))
      .sort((a, b) => b.bytes - a.bytes),
    threads: options.jobs,
    signal: AbortSignal.any([io.signal, broken.signal]),
    limitMs: options.limitS * 1000,
    onResult: (job, answer) => {
      parts.push(...answer.parts);
      for (const file of answer.files) write(file.name, file.data);
      bar.step(`${job.name}: ${answer.parts.map((p) => p.state).join(', ')}`);
    },
    onFailure: (job, failure) => {
      const error = new core.ScantlingError(failure.code, failure.message);
      parts.push({ file: job.name, part: null, ...core.failedSplit(error) });
      bar.step(`${job.name}: ${failure.code}`);
    },
  });
  bar.end();
  parts.sort((a, b) => byName(a.file, b.file) || byName(a.part ?? '', b.part ?? ''));
  if (options.folder !== null)
    for (const part of parts.filter((p) => p.plans.length > 0))
      for (const { name, data } of await options.also(part, stemOf(part))) write(name, data);
  await Promise.all(writing);
  if (trouble !== undefined) throw trouble;
  const done = new Set(parts.map((part) => part.file));
  return core.splitReport(
    parts,
    envelopes.map((e) => e.name),
    files.every((file) => done.has(file.name)),
  );
} // prettier-ignore

/** A file's place with its name in small letters: sides are told apart whatever the case. */
const placeOf = (path: string, name = basename(path)): string =>
  join(dirname(path), name.toLowerCase());

const stemOf = (part: SplitPart): string => part.plans[0]?.part ?? part.file;
