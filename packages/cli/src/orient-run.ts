import type { OrientList, Workshop } from '@scantling/core';
import type { Io } from './io.ts';
import { runPool } from './pool.ts';
import { progressBar } from './render/progress.ts';
import type { FoundFile } from './session.ts';
import type { OrientEntry, OrientJob, OrientSetup } from './tasks/orient.ts';

export interface OrientRunOptions extends Pick<OrientSetup, 'material' | 'unit' | 'asked'> {
  readonly jobs: number;
}

/**
 * Ranks files in worker threads. On Ctrl-C the answers that are there come back, in the order of
 * the files, marked as not complete.
 */
export async function runOrient(
  io: Io,
  files: readonly FoundFile[],
  workshop: Workshop,
  options: OrientRunOptions,
): Promise<OrientList> {
  const done = new Map<string, readonly OrientEntry[]>();
  const bar = progressBar(io, files.length, 'orient');
  const { material, unit, asked } = options;
  await runPool<OrientJob, readonly OrientEntry[]>({
    task: 'orient',
    setup: {
      machines: workshop.machines.map(({ envelope, estimate, orient }) => ({ envelope, estimate, orient })),
      materials: workshop.materials,
      material,
      unit,
      asked,
    } satisfies OrientSetup,
    // The largest first: a thread then does not start a long job when the others are done.
    jobs: [...files].sort((a, b) => b.bytes - a.bytes),
    threads: options.jobs,
    signal: io.signal,
    onResult: (job, entries) => {
      done.set(job.name, entries);
      bar.step(job.name);
    },
    onFailure: (job, { code, message }) => {
      const entry = { name: job.name, result: null, material, takes: null, asModelledTakes: null };
      done.set(job.name, [{ ...entry, error: { code, message } }]);
      bar.step(`${job.name}: ${code}`);
    },
  });
  bar.end();
  return {
    schema: 'scantling/orient-list@1',
    complete: done.size === files.length,
    parts: files.flatMap((file) => done.get(file.name) ?? []),
  };
} // prettier-ignore
