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
import { cacheKey, contentHash, readCache, writeCache } from '../cache.ts';

export interface WeighSetup {
  readonly estimate: EstimateSettings;
  readonly materials: MaterialsSettings;
  /** Null: no cache. */
  readonly cacheFolder: string | null;
  readonly version: string;
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
  /** Hull vertices, x, y, z each, part coordinates, mm. */
  readonly pointsMm: readonly number[];
  readonly because: string | null;
}

/** Mass, centre and hull of one part as modelled; supports, brim and purge are not part of it. */
export function start(setup: WeighSetup): (job: WeighJob) => Promise<WeighAnswer> {
  const { cacheFolder, version, estimate, materials } = setup;
  const chunk = new Uint8Array(1 << 20);
  return async (job) => {
    try {
      if (cacheFolder === null) return await weigh(job, setup);
      const { path, name: _, ...asked } = job;
      const key = cacheKey(contentHash(path, chunk), [
        'weigh',
        version,
        asked,
        estimate,
        materials,
      ]);
      const kept = (await readCache(cacheFolder, key)) as WeighAnswer | undefined;
      if (kept) return kept;
      const made = await weigh(job, setup);
      await writeCache(cacheFolder, key, made);
      return made;
    } catch (error) {
      if (!(error instanceof ScantlingError)) throw error;
      return { massG: null, solidG: 0, centreMm: [0, 0, 0], pointsMm: [], because: error.message };
    }
  };
}

async function weigh(job: WeighJob, setup: WeighSetup): Promise<WeighAnswer> {
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
    pointsMm: [...convexHull(part.mesh.positions).positions],
    because: estimate ? null : 'open mesh: it has no known inside to weigh',
  };
}
