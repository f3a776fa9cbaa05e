import {
  failedSplit,
  ScantlingError,
  splitPart,
  type Envelope,
  type LengthUnit,
  type Mesh,
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
  /** The file of the other side, left of right, where there is one. */
  readonly twin: { readonly path: string; readonly unit?: LengthUnit } | null;
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
      const twin = read.length === 1 && job.twin ? meshOf(job.twin, unit) : null;
      const all = twin ? { ...options, split: { ...options.split, twin } } : options;
      for (const [i, part] of read.entries()) {
        const several = read.length > 1;
        const names = {
          file: job.name,
          part: several ? part.name : null,
          stem: several ? `${job.stem}-${i + 1}` : job.stem,
        };
        const result = await splitPart(part.mesh, names, envelopes, all);
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

/** The one part of a file; null where it has several or can't be read: its own job says so. */
function meshOf(file: NonNullable<SplitJob['twin']>, unit: LengthUnit | null): Mesh | null {
  const asked = file.unit ?? unit;
  try {
    const read = readPartsFromFile(file.path, asked ? { unit: asked } : {});
    return read.length === 1 ? (read[0]?.mesh ?? null) : null;
  } catch (error) {
    if (!(error instanceof ScantlingError)) throw error;
    return null;
  }
}
