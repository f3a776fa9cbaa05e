import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import type { Balance, Kit, KitPart, Place, StandingBody, Workshop } from '@scantling/core';
import { cacheFolder } from './cache.ts';
import type { Io } from './io.ts';
import { runPool } from './pool.ts';
import { progressBar } from './render/progress.ts';
import type { WeighAnswer, WeighJob, WeighSetup } from './tasks/weigh.ts';
import { version } from './version.ts';

export interface Standing {
  readonly bodies: readonly StandingBody[];
  readonly unknown: Balance['unknown'];
  /** Fewest walls of a part that may become heavier; null when there is none. */
  readonly lowWalls: number | null;
  /** The bodies with those parts weighed with so many walls, too. */
  readonly alsoWith: (walls: number) => Promise<readonly StandingBody[]>;
}

/** What of a kit's figure is weighed and where it stands; what can't be weighed is named. */
export async function standingFigure(
  io: Io,
  kit: Kit,
  folder: string,
  workshop: Workshop,
  options: { readonly jobs: number; readonly cache?: boolean },
): Promise<Standing> {
  const core = await import('@scantling/core');
  const estimate = workshop.machines[0]?.estimate ?? core.estimateSettingsSchema.parse({});
  const setup: WeighSetup = {
    estimate,
    materials: workshop.materials,
    cacheFolder: options.cache === false ? null : cacheFolder(io.env),
    version: version(),
  };
  const weighed = await weigh(io, kit.parts, folder, setup, options.jobs);
  let bodies: StandingBody[] = [];
  const unknown: Balance['unknown'] = [];
  for (const part of kit.parts) {
    const answer = weighed.get(part.file);
    if (part.quantity === 0) continue;
    const massG =
      part.grams ?? (part.process === 'filament' ? answer?.masses[0]?.massG : undefined);
    if (!answer || answer.pointsMm.length === 0)
      unknown.push({ name: part.file, because: answer?.because ?? 'no such file' });
    else if (massG === undefined)
      unknown.push({ name: part.file, because: answer.because ?? `made by another process (${part.process}); give its grams in the kit file` }); // prettier-ignore
    else bodies.push(...(await placed(part, massG, answer)));
  }
  for (const rod of kit.rods)
    if (rod.grams === undefined) unknown.push({ name: rod.name, because: 'no mass given' });
    else bodies.push(rodBody(rod));
  const low = kit.parts.filter((p) => mayGrow(p) && weighed.get(p.file)?.masses[0]);
  return {
    bodies,
    unknown,
    lowWalls: low.length > 0 ? Math.min(...low.map((p) => core.recipeOf(p).walls)) : null,
    alsoWith: async (walls) => {
      const more = low.filter((p) => core.recipeOf(p).walls < walls);
      const heavier = await weigh(io, more.map((p) => ({ ...p, walls })), folder, setup, options.jobs); // prettier-ignore
      const massOf = new Map(more.flatMap((p) => core.pieceNames(p).map((name) => [name, heavier.get(p.file)?.masses[0]?.massG] as const))); // prettier-ignore
      bodies = bodies.map((body) => {
        const massG = massOf.get(body.name);
        if (massG === undefined || !body.low) return body;
        const byWalls = [...body.low.byWalls, { walls, massG }].sort((a, b) => a.walls - b.walls);
        return { ...body, low: { ...body.low, byWalls } };
      });
      return bodies;
    },
  };
}

/** A part that was weighed is what it is. */
const mayGrow = (part: KitPart): boolean =>
  part.role === 'weight' && part.grams === undefined && part.quantity > 0;

/** The base of a kit as the balance wants it. */
export const baseOf = ({ base }: Kit) =>
  base && { outlineMm: base.outline, massG: base.grams, heightMm: base.height };

async function weigh(
  io: Io,
  parts: readonly KitPart[],
  folder: string,
  setup: WeighSetup,
  threads: number,
): Promise<Map<string, WeighAnswer>> {
  // prettier-ignore
  const [{ recipeOf }, { unweighed }] = await Promise.all([import('@scantling/core'), import('./tasks/weigh.ts')]);
  const jobs = parts
    .filter((p) => p.quantity > 0 && existsSync(resolve(folder, p.file)))
    .map((p): WeighJob => ({ path: resolve(folder, p.file), name: p.file, unit: p.unit, material: p.material, recipes: [recipeOf(p)] })); // prettier-ignore
  const out = new Map<string, WeighAnswer>();
  const bar = progressBar(io, jobs.length, 'weigh');
  await runPool<WeighJob, WeighAnswer>({
    task: 'weigh',
    setup,
    jobs,
    threads,
    signal: io.signal,
    onResult: (job, answer) => {
      out.set(job.name, answer);
      bar.step(job.name);
    },
    onFailure: (job, failure) => {
      out.set(job.name, unweighed(failure.message));
      bar.step(job.name);
    },
  });
  bar.end();
  return out;
}

/** One body per copy, at its place in the figure. */
async function placed(part: KitPart, massG: number, answer: WeighAnswer): Promise<StandingBody[]> {
  const { recipeOf, quatFromTurnsDeg, quatToMatrix, transformPositions, pieceNames } = await import('@scantling/core'); // prettier-ignore
  const recipe = recipeOf(part);
  const own = answer.masses[0];
  const low =
    mayGrow(part) && own
      ? {
          solidG: answer.solidG,
          infillG: own.infillG,
          infillShare: recipe.infillShare,
          byWalls: [],
        }
      : null;
  const places = placesOf(part);
  return pieceNames(part).slice(0, places.length).map((name, i) => {
    const place = places[i] ?? STILL;
    const m = quatToMatrix(quatFromTurnsDeg(place.turn));
    const c = transformPositions(answer.centreMm, m, place.move);
    return {
      name,
      group: part.group ?? 'no group',
      massG,
      centreMm: [c[0] ?? 0, c[1] ?? 0, c[2] ?? 0] as const,
      points: transformPositions(Float64Array.from(answer.pointsMm), m, place.move),
      ...(low && { low }),
    };
  }); // prettier-ignore
}

const STILL: Place = { turn: [0, 0, 0], move: [0, 0, 0] };

/** Where a part and its copies are in the figure. */
export const placesOf = (part: KitPart): readonly Place[] =>
  part.place === 'as modelled' ? [STILL] : part.place;

const rodBody = (rod: Kit['rods'][number]): StandingBody => ({
  name: rod.name,
  group: 'rods',
  massG: rod.grams ?? 0,
  centreMm: [0, 1, 2].map((i) => ((rod.from[i] ?? 0) + (rod.to[i] ?? 0)) / 2) as unknown as StandingBody['centreMm'], // prettier-ignore
  points: Float64Array.from([...rod.from, ...rod.to]),
});
