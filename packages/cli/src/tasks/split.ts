import {
  failedSplit,
  ScantlingError,
  splitPart,
  type Envelope,
  type LengthUnit,
  type OutFile,
  type SplitPart,
  type SplitPartOptions,
} from '@scantling/core';
import { readPartsFromFile } from '@scantling/core/node';

export interface SplitSetup {
  readonly envelopes: readonly Envelope[];
  readonly unit: LengthUnit | null;
  readonly options: SplitPartOptions;
}

export interface SplitJob {
  readonly path: string;
  /** Name for results. */
  readonly name: string;
  readonly bytes: number;
  /** Unit of this file, before that of the set-up. */
  readonly unit?: LengthUnit;
  /** Begins the names of what is written for it. */
  readonly stem: string;
}

export interface SplitAnswer {
  readonly parts: readonly SplitPart[];
  readonly files: readonly OutFile[];
}

/** Reads, splits, dowels and cuts the parts of one file. */
export function start({ envelopes, unit, options }: SplitSetup): (job: SplitJob) => Promise<SplitAnswer> {
  return async (job) => {
    const parts: SplitPart[] = [];
    const files: OutFile[] = [];
    try {
      const asked = job.unit ?? unit;
      const read = readPartsFromFile(job.path, { name: job.name, ...(asked && { unit: asked }) });
      for (const [i, part] of read.entries()) {
        const several = read.length > 1;
        const names = {
          file: job.name,
          part: several ? part.name : null,
          stem: several ? `${job.stem}-${i + 1}` : job.stem,
        };
        const result = await splitPart(part.mesh, names, envelopes, options);
        parts.push(result.part);
        files.push(...result.files);
      }
    } catch (error) {
      if (!(error instanceof ScantlingError)) throw error;
      parts.push({ file: job.name, part: null, ...failedSplit(error) });
    }
    return { parts, files };
  };
} // prettier-ignore
