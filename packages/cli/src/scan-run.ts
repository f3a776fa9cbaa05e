import type { LengthUnit, Scan, ScanPart, Workshop } from '@scantling/core';
import { cacheFolder, sweepCache, writeCache } from './cache.ts';
import type { Io } from './io.ts';
import { runPool, type JobFailure } from './pool.ts';
import { progressBar } from './render/progress.ts';
import { scanWord } from './render/scan-words.ts';
import type { FoundFile } from './session.ts';
import type { ScanAnswer, ScanJob, ScanSetup } from './tasks/scan.ts';
import { version } from './version.ts';

export interface ScanRunOptions {
  readonly unit?: LengthUnit;
  readonly precision: number;
  readonly jobs: number;
  readonly cache: boolean;
  /** Supports as modelled and at best, too. */
  readonly orient?: boolean;
}

/**
 * Scans files in worker threads. On Ctrl-C the answers that are there come back, marked as not
 * complete; they are in the cache too, so that the next run goes on from there.
 */
export async function runScan(
  io: Io,
  files: readonly FoundFile[],
  workshop: Workshop,
  options: ScanRunOptions,
): Promise<Scan> {
  const core = await import('@scantling/core');
  const folder = options.cache ? cacheFolder(io.env) : null;
  const envelopes = workshop.machines.map((machine) => machine.envelope);
  const parts: ScanPart[] = [];
  const keeping: Promise<void>[] = [];
  const bar = progressBar(io, files.length, 'scan');

  await runPool<ScanJob, ScanAnswer>({
    task: 'scan',
    setup: {
      envelopes,
      unit: options.unit ?? null,
      precision: options.precision,
      orient: options.orient ? workshop.machines.map((machine) => machine.orient) : null,
      cacheFolder: folder,
      version: version(),
    } satisfies ScanSetup,
    // The largest first: a thread then does not start a long job when the others are done.
    jobs: [...files].sort((a, b) => b.bytes - a.bytes),
    threads: options.jobs,
    signal: io.signal,
    onResult: (job, answer) => {
      parts.push(...answer.parts);
      if (folder !== null && answer.key !== null)
        keeping.push(writeCache(folder, answer.key, answer.parts));
      bar.step(answer.parts[0] ? scanWord(answer.parts[0]) : job.name);
    },
    onFailure: (job, failure) => {
      const error = new core.ScantlingError(failure.code, wordsFor(failure));
      parts.push(core.unreadablePart(job.name, error));
      bar.step(`${job.name}: ${failure.code}`);
    },
  });
  bar.end();
  await Promise.all(keeping);
  if (folder !== null && keeping.length) await sweepCache(folder);

  const done = new Set(parts.map((part) => part.file));
  return core.scanOf(parts, {
    precision: options.precision,
    unit: options.unit ?? 'mm',
    envelopes,
    complete: files.every((file) => done.has(file.name)),
  });
}

const wordsFor = ({ kind, code, message }: JobFailure): string =>
  kind === 'fault' && !/^E[A-Z]+$/.test(code)
    ? `A fault in scantling itself, please report it: ${message}`
    : message;
