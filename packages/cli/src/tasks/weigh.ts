import {
  convexHull,
  massProperties,
  materialOf,
  ScantlingError,
  weighPart,
  type EstimateSettings,
  type LengthUnit,
  type MaterialsSettings,
  type Recipe,
  type Vec3,
} from '@scantling/core';
import { readPartsFromFile } from '@scantling/core/node';
import { cacheKey, contentHash, keptOr } from '../cache.ts';

export interface WeighSetup {
  readonly estimate: EstimateSettings;
  readonly materials: MaterialsSettings;
  /** Null: no cache. */
  readonly cacheFolder: string | null;
  /** Version of the program: another one may answer otherwise. */
  readonly version: string;
}

export interface WeighJob {
  readonly path: string;
  readonly name: string;
  readonly unit: LengthUnit;
  readonly material: string;
  /** Walls and infill to weigh it with, the wanted ones first. */
  readonly recipes: readonly Recipe[];
}

export interface WeighAnswer {
  /** Per recipe: filament of the part and of its infill alone, g. Empty for an open mesh. */
  readonly masses: readonly { readonly massG: number; readonly infillG: number }[];
  readonly solidG: number;
  readonly centreMm: Vec3;
  /** Hull vertices, part coordinates, mm: x, y, z one after the other. */
  readonly pointsMm: readonly number[];
  readonly because: string | null;
}

export const unweighed = (because: string): WeighAnswer => ({
  masses: [],
  solidG: 0,
  centreMm: [0, 0, 0],
  pointsMm: [],
  because,
});

/** Sums over layers this exact (relative) move no centre of mass that matters: measured, within 2 % of each mass. */
const PRECISION = 0.03;

/** Mass, centre and hull of one part as modelled; supports, brim and purge are not part of it. */
export function start(setup: WeighSetup): (job: WeighJob) => Promise<WeighAnswer> {
  const { cacheFolder, version, materials } = setup;
  const weigh = async (job: WeighJob): Promise<WeighAnswer> => {
    const part = readPartsFromFile(job.path, { name: job.name, unit: job.unit })[0];
    if (!part) throw new ScantlingError('NO_PARTS', 'Holds no part.');
    const material = materialOf(job.material, materials);
    const masses: { massG: number; infillG: number }[] = [];
    for (const recipe of job.recipes) {
      const settings = { ...setup.estimate, ...recipe, purgeG: 0, brimMm: 0 };
      const e = await weighPart(part.mesh, settings, material, {
        precision: PRECISION,
        massOnly: true,
      });
      if (e) masses.push({ massG: e.massG, infillG: e.mass.infillG });
    }
    const { volumeMm3, centreMm } = massProperties(part.mesh);
    return {
      masses,
      solidG: (volumeMm3 / 1000) * material.densityGPerCm3,
      centreMm,
      pointsMm: [...convexHull(part.mesh.positions).positions],
      because: masses.length > 0 ? null : 'open mesh: it has no known inside to weigh',
    };
  };
  return async (job) => {
    const { path, name: _, ...question } = job;
    const key = (): string =>
      cacheKey(contentHash(path), ['weigh', version, setup.estimate, materials, question]);
    try {
      return await keptOr(cacheFolder, key, () => weigh(job));
    } catch (error) {
      if (!(error instanceof ScantlingError)) throw error;
      return unweighed(error.message);
    }
  };
}
