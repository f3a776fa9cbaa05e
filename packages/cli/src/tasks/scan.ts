import { extname } from 'node:path';
import {
  createReadBuffers,
  ScantlingError,
  scanPart,
  unreadablePart,
  type Envelope,
  type LengthUnit,
  type OrientSettings,
  type ScanPart,
} from '@scantling/core';
import { readPartsFromFile } from '@scantling/core/node';
import { cacheKey, contentHash, readCache } from '../cache.ts';

export interface ScanSetup {
  readonly envelopes: readonly Envelope[];
  readonly unit: LengthUnit | null;
  readonly precision: number;
  /** Per machine; null: supports are not asked for. */
  readonly orient: readonly OrientSettings[] | null;
  /** Null: no cache. */
  readonly cacheFolder: string | null;
  /** Version of the program: another one may answer otherwise. */
  readonly version: string;
}

export interface ScanJob {
  readonly path: string;
  /** Name for results. */
  readonly name: string;
  readonly bytes: number;
  /** Unit of this file, before that of the set-up. */
  readonly unit?: LengthUnit;
}

export interface ScanAnswer {
  readonly parts: readonly ScanPart[];
  /** Where to keep it; null when it came from the cache or shall not be kept. */
  readonly key: string | null;
}

/** Reads and analyses files, one at a time, in arrays that are kept from one file to the next. */
export function start(setup: ScanSetup): (job: ScanJob) => Promise<ScanAnswer> {
  const { envelopes, unit, precision, orient, version, cacheFolder } = setup;
  const chunk = new Uint8Array(1 << 20);
  const buffers = createReadBuffers();

  const analyse = (job: ScanJob): ScanPart[] => {
    const asked = job.unit ?? unit;
    const options = { name: job.name, buffers, ...(asked && { unit: asked }) };
    const parts = readPartsFromFile(job.path, options);
    return parts.map((part) =>
      scanPart(part, job.name, innerName(part.name, job.name, parts.length), envelopes, {
        precision,
        ...(orient && { orient }),
      }),
    );
  };

  return async (job) => {
    let key: string | null = null;
    try {
      if (cacheFolder !== null) {
        // The ending belongs to the question: a remark depends on it.
        const ending = extname(job.name).toLowerCase();
        const content = contentHash(job.path, chunk);
        key = cacheKey(content, [
          'scan',
          version,
          ending,
          job.unit ?? unit,
          precision,
          envelopes,
          orient,
        ]);
        const kept = (await readCache(cacheFolder, key)) as ScanPart[] | undefined;
        if (kept) return { parts: kept.map((part) => ({ ...part, file: job.name })), key: null };
      }
      return { parts: analyse(job), key };
    } catch (error) {
      if (!(error instanceof ScantlingError)) throw error;
      return { parts: [unreadablePart(job.name, error)], key };
    }
  };
}

/** The part's own name when a file holds several or names its only one: `kit.3mf (left hand)`. */
function innerName(name: string, file: string, count: number): string | null {
  const inner = name.startsWith(file) ? /^ \((.*)\)$/s.exec(name.slice(file.length))?.[1] : name;
  return inner ?? (count > 1 ? name : null);
}
