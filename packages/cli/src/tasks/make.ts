import {
  materialOf,
  readyPart,
  ScantlingError,
  type LengthUnit,
  type MaterialsSettings,
  type PrintingMachine,
  type Ready,
  type Recipe,
} from '@scantling/core';
import { readPartsFromFile } from '@scantling/core/node';
import { cacheKey, contentHash, keptOr } from '../cache.ts';

export interface MakeSetup {
  readonly machines: readonly PrintingMachine[];
  readonly materials: MaterialsSettings;
  readonly asModelled: boolean;
  /** Null: no cache. */
  readonly cacheFolder: string | null;
  /** Version of the program: another one may answer otherwise. */
  readonly version: string;
}

export interface MakeJob {
  readonly path: string;
  readonly name: string;
  readonly bytes: number;
  readonly unit: LengthUnit;
  readonly material: string;
  /** Walls and infill to compute, the wanted ones first. */
  readonly recipes: readonly Recipe[];
}

export interface MakeAnswer {
  /** Per recipe and machine; null where it does not fit. */
  readonly ready: readonly (readonly (Ready | null)[])[];
  readonly because: string | null;
}

/** Relative, of the sums over layers: measured, it moves the mass by 0.3 %. */
const PRECISION = 0.02;

/** Turns, weighs and times the parts of one file on every machine. Several bodies count as one. */
export function start(setup: MakeSetup): (job: MakeJob) => Promise<MakeAnswer> {
  const { machines, materials, asModelled, cacheFolder, version } = setup;
  const make = async (job: MakeJob): Promise<MakeAnswer> => {
    const material = materialOf(job.material, materials);
    const [part, more] = readPartsFromFile(job.path, { name: job.name, unit: job.unit });
    if (!part) return { ready: [], because: 'holds no part' };
    if (more) return { ready: [], because: 'holds several parts; save each in a file of its own' };
    const ready = await readyPart(part.mesh, machines, job.recipes, material, {
      asModelled,
      precision: PRECISION,
    });
    const first = ready[0] ?? [];
    const because = first.every((r) => r === null)
      ? 'fits on none of the machines; split it first'
      : first.every((r) => r === null || r.estimate === null)
        ? 'open mesh: it has no known inside to weigh'
        : null;
    return { ready, because };
  };
  return async (job) => {
    const { path, name: _, bytes: __, ...question } = job;
    const key = (): string =>
      cacheKey(contentHash(path), ['make', version, machines, materials, asModelled, question]);
    try {
      return await keptOr(cacheFolder, key, () => make(job));
    } catch (error) {
      if (!(error instanceof ScantlingError)) throw error;
      return { ready: [], because: error.message.replace(/\.$/, '') };
    }
  };
}
