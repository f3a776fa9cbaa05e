import {
  failedSplit,
  ScantlingError,
  splitPart,
  type Envelope,
  type LengthUnit,
  type Mesh,
  type OutFile,
  type ReadPart,
  type SplitPart,
  type SplitPartOptions,
} from '@scantling/core';
import { readPartsFromFile } from '@scantling/core/node';

export interface SplitSetup {
  readonly envelopes: readonly Envelope[];
  readonly unit: LengthUnit | null;
  readonly options: SplitPartOptions;
}

interface PartFile {
  readonly path: string;
  /** Name for results. */
  readonly name: string;
  /** Unit of this file, before that of the set-up. */
  readonly unit?: LengthUnit;
}

export interface SplitJob extends PartFile {
  readonly bytes: number;
  /** Begins the names of what is written for it. */
  readonly stem: string;
  /** The file of the other side, left of right, where there is one. */
  readonly twin: PartFile | null;
}

export interface SplitAnswer {
  readonly parts: readonly SplitPart[];
  readonly files: readonly OutFile[];
}

/** Reads, splits, dowels and cuts the parts of one file. */
export function start({ envelopes, unit, options }: SplitSetup): (job: SplitJob) => Promise<SplitAnswer> {
  const partsOf = (file: PartFile): ReadPart[] => {
    const asked = file.unit ?? unit;
    return readPartsFromFile(file.path, { name: file.name, ...(asked && { unit: asked }) });
  };
  return async (job) => {
    const parts: SplitPart[] = [];
    const files: OutFile[] = [];
    try {
      const read = partsOf(job);
      const { twin: other } = job;
      const twin = read.length === 1 && other ? onlyMesh(() => partsOf(other)) : null;
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
function onlyMesh(read: () => readonly ReadPart[]): Mesh | null {
  try {
    const parts = read();
    return parts.length === 1 ? (parts[0]?.mesh ?? null) : null;
  } catch (error) {
    if (!(error instanceof ScantlingError)) throw error;
    return null;
  }
}
