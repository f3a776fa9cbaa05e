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

export interface MakeSetup {
  readonly machines: readonly PrintingMachine[];
  readonly materials: MaterialsSettings;
  readonly asModelled: boolean;
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

/** Turns, weighs and times the parts of one file on every machine. Several bodies count as one. */
export function start(setup: MakeSetup): (job: MakeJob) => Promise<MakeAnswer> {
  return async (job) => {
    try {
      const material = materialOf(job.material, setup.materials);
      const [part, more] = readPartsFromFile(job.path, { name: job.name, unit: job.unit });
      if (!part) return { ready: [], because: 'holds no part' };
      if (more)
        return { ready: [], because: 'holds several parts; save each in a file of its own' };
      const ready = await readyPart(part.mesh, setup.machines, job.recipes, material, {
        asModelled: setup.asModelled,
        precision: 0.01,
      });
      const first = ready[0] ?? [];
      const because = first.every((r) => r === null)
        ? 'fits on none of the machines; split it first'
        : first.every((r) => r === null || r.estimate === null)
          ? 'open mesh: it has no known inside to weigh'
          : null;
      return { ready, because };
    } catch (error) {
      if (!(error instanceof ScantlingError)) throw error;
      return { ready: [], because: error.message.replace(/\.$/, '') };
    }
  };
}
