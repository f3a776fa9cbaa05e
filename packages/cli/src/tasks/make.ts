import {
  materialOf,
  readyAlike,
  readyPart,
  ScantlingError,
  wholeOrSplit,
  type JoinSettings,
  type LengthUnit,
  type MaterialsSettings,
  type PrintingMachine,
  type Ready,
  type Recipe,
  type SplitSettings,
  type WholeOrSplit,
} from '@scantling/core';
import { readPartsFromFile } from '@scantling/core/node';
import { cacheKey, contentHash, keptOr } from '../cache.ts';

export interface MakeSetup {
  readonly machines: readonly PrintingMachine[];
  readonly materials: MaterialsSettings;
  readonly asModelled: boolean;
  /** How parts are cut up where a job asks for it. */
  readonly split: SplitSettings;
  readonly join: JoinSettings;
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
  /** Also compare whole and cut up, on the first machine with the first recipe. */
  readonly cutUp: boolean;
  /** The part that this one is said to be a copy or mirror image of, and what was found of it. */
  readonly like: { readonly path: string; readonly answer: MakeAnswer } | null;
}

export interface MakeAnswer {
  /** Per recipe and machine; null where it does not fit. */
  readonly ready: readonly (readonly (Ready | null)[])[];
  /** On the first machine with the first recipe; null when not asked for, or an open mesh. */
  readonly wholeOrSplit: WholeOrSplit | null;
  readonly because: string | null;
}

/** The answer for a part of which nothing is known. */
export const unmade = (because: string): MakeAnswer => ({
  ready: [],
  wholeOrSplit: null,
  because: because.replace(/\.$/, ''),
});

/** Relative, of the sums over layers: measured, it moves the mass by 0.3 %. */
const PRECISION = 0.02;

/** Turns, weighs and times the parts of one file on every machine. Several bodies count as one. */
export function start(setup: MakeSetup): (job: MakeJob) => Promise<MakeAnswer> {
  const { machines, materials, asModelled, split, join, cacheFolder, version } = setup;
  const make = async (job: MakeJob): Promise<MakeAnswer> => {
    const material = materialOf(job.material, materials);
    const [part, more] = readPartsFromFile(job.path, { name: job.name, unit: job.unit });
    if (!part) return unmade('holds no part');
    if (more) return unmade('holds several parts; save each in a file of its own');
    if (job.like) {
      const [source] = readPartsFromFile(job.like.path, { name: job.name, unit: job.unit });
      const ready = source && readyAlike(part.mesh, source.mesh, job.like.answer.ready, machines);
      if (ready) return { ...job.like.answer, ready };
    }
    const options = { asModelled, precision: PRECISION };
    const ready = await readyPart(part.mesh, machines, job.recipes, material, options);
    const [machine] = machines;
    const [recipe] = job.recipes;
    const compared =
      job.cutUp && machine && recipe
        ? await wholeOrSplit(part.mesh, machine, recipe, material, { ...options, split, join, whole: ready[0]?.[0] ?? null }) // prettier-ignore
        : null;
    const first = ready[0] ?? [];
    const because = first.every((r) => r === null)
      ? machines.length === 1
        ? `goes on ${machine?.envelope.name} in no way found; split it, or name another machine`
        : 'fits on none of the machines; split it first'
      : first.every((r) => r === null || r.estimate === null)
        ? 'open mesh: it has no known inside to weigh'
        : null;
    return { ready, wholeOrSplit: compared, because };
  };
  return async (job) => {
    const { path, name: _, bytes: __, like, ...question } = job;
    const key = (): string =>
      cacheKey(contentHash(path), [
        'make',
        version,
        machines,
        materials,
        asModelled,
        job.cutUp,
        question,
        like && contentHash(like.path),
      ]);
    try {
      return await keptOr(cacheFolder, key, () => make(job));
    } catch (error) {
      if (!(error instanceof ScantlingError)) throw error;
      return unmade(error.message);
    }
  };
}
