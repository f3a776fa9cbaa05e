import {
  convexHull,
  massProperties,
  materialOf,
  ScantlingError,
  weighPart,
  type EstimateSettings,
  type LengthUnit,
  type MaterialsSettings,
  type Vec3,
} from '@scantling/core';
import { readPartsFromFile } from '@scantling/core/node';

export interface WeighSetup {
  readonly estimate: EstimateSettings;
  readonly materials: MaterialsSettings;
}

export interface WeighJob {
  readonly path: string;
  readonly name: string;
  readonly unit: LengthUnit;
  readonly material: string;
  readonly walls: number;
  readonly infillShare: number;
}

export interface WeighAnswer {
  readonly massG: number | null;
  readonly solidG: number;
  readonly centreMm: Vec3;
  /** Hull vertices, part coordinates, mm. */
  readonly points: Float64Array;
  readonly because: string | null;
}

/** Mass, centre and hull of one part as modelled; supports, brim and purge are not part of it. */
export function start(setup: WeighSetup): (job: WeighJob) => Promise<WeighAnswer> {
  return async (job) => {
    try {
      const part = readPartsFromFile(job.path, { name: job.name, unit: job.unit })[0];
      if (!part) throw new ScantlingError('NO_PARTS', 'Holds no part.');
      const material = materialOf(job.material, setup.materials);
      const { walls, infillShare } = job;
      const settings = { ...setup.estimate, walls, infillShare, purgeG: 0, brimMm: 0 };
      const estimate = await weighPart(part.mesh, settings, material, { precision: 0.01 });
      const { volumeMm3, centreMm } = massProperties(part.mesh);
      return {
        massG: estimate?.massG ?? null,
        solidG: (volumeMm3 / 1000) * material.densityGPerCm3,
        centreMm,
        points: convexHull(part.mesh.positions).positions,
        because: estimate ? null : 'open mesh: it has no known inside to weigh',
      };
    } catch (error) {
      if (!(error instanceof ScantlingError)) throw error;
      return { massG: null, solidG: 0, centreMm: [0, 0, 0], points: new Float64Array(), because: error.message }; // prettier-ignore
    }
  };
}
