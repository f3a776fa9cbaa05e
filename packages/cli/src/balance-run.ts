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
}

/** What of a kit's figure is weighed and where it stands; what can't be weighed is named. */
export async function standingFigure(
  io: Io,
  kit: Kit,
  folder: string,
  workshop: Workshop,
  options: { readonly jobs: number; readonly cache?: boolean; /** Weigh the low parts with more walls, too. */ readonly heavier?: boolean }, // prettier-ignore
): Promise<Standing> {
  const core = await import('@scantling/core');
  const estimate = workshop.machines[0]?.estimate ?? core.estimateSettingsSchema.parse({});
  const setup: WeighSetup = {
    estimate,
    materials: workshop.materials,
    cacheFolder: options.cache === false ? null : cacheFolder(io.env),
    version: version(),
  };
  const weighed = await weigh(io, kit, folder, setup, options.jobs, options.heavier ? MORE_WALLS : []); // prettier-ignore
  const bodies: StandingBody[] = [];
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
  return { bodies, unknown };
}

/** The base of a kit as the balance wants it. */
export const baseOf = ({ base }: Kit) =>
  base && { outlineMm: base.outline, massG: base.grams, heightMm: base.height };

/** Walls to try for parts that may become heavier, beside their own. */
const MORE_WALLS = [2, 4, 8, 16];

async function weigh(
  io: Io,
  kit: Kit,
  folder: string,
  setup: WeighSetup,
  threads: number,
  moreWalls: readonly number[],
): Promise<Map<string, WeighAnswer>> {
  // prettier-ignore
  const [{ recipeOf }, { unweighed }] = await Promise.all([import('@scantling/core'), import('./tasks/weigh.ts')]);
  const jobs = kit.parts
    .filter((p) => p.quantity > 0 && existsSync(resolve(folder, p.file)))
    .map((p): WeighJob => {
      const recipe = recipeOf(p);
      const more = p.role === 'weight' ? moreWalls : [];
      const recipes = [recipe, ...more.map((n) => ({ ...recipe, walls: recipe.walls + n }))];
      return { path: resolve(folder, p.file), name: p.file, unit: p.unit, material: p.material, recipes }; // prettier-ignore
    })
    .sort((a, b) => b.recipes.length - a.recipes.length);
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
  const [own, ...more] = answer.masses;
  // A part that was weighed is what it is.
  const low = part.role === 'weight' && part.grams === undefined && own
    ? {
        solidG: answer.solidG,
        infillG: own.infillG,
        infillShare: recipe.infillShare,
        byWalls: more.map((m, k) => ({ walls: recipe.walls + (MORE_WALLS[k] ?? 0), massG: m.massG })),
      }
    : null; // prettier-ignore
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
