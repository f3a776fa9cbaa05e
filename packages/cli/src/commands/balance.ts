import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import type { Balance, Kit, KitPart, Place, StandingBody } from '@scantling/core';
import type { Command } from 'commander';
import { EXIT, type Io, type SetExit } from '../io.ts';
import { jobsOption, loadWorkshop, positive, shopOptions, type ShopOptions } from '../options.ts';
import type { WeighAnswer, WeighJob, WeighSetup } from '../tasks/weigh.ts';

interface Options extends ShopOptions {
  readonly ceiling?: number;
  readonly tip?: number;
  readonly push?: number;
  readonly json?: boolean;
  readonly jobs: number;
}

export function register(program: Command, io: Io, setExit: SetExit): void {
  shopOptions(
    program
      .command('balance')
      .description('how firmly the finished figure stands, and what would make it firmer')
      .argument('[kit]', 'kit file or its folder', '.'),
  )
    .option('--ceiling <mm>', 'height of the room', positive)
    .option('--tip <deg>', 'tip angle that is wanted', positive)
    .option('--push <mm>', 'height at which somebody may push (default: shoulder)', positive)
    .option('--json', 'the result as JSON')
    .addOption(jobsOption())
    .action(async (kit: string, options: Options) => balance(io, setExit, kit, options));
}

async function balance(io: Io, setExit: SetExit, given: string, options: Options): Promise<void> {
  const [core, { openKit }] = await Promise.all([import('@scantling/core'), import('../kit-session.ts')]); // prettier-ignore
  const workshop = await loadWorkshop(io, options);
  const { kit, folder } = await openKit(io, given);
  const settings = workshop.machines[0]?.estimate ?? core.estimateSettingsSchema.parse({});
  const weighed = await weigh(io, kit, folder, { estimate: settings, materials: workshop.materials }, options.jobs); // prettier-ignore
  const bodies: StandingBody[] = [];
  const unknown: Balance['unknown'] = [];
  for (const part of kit.parts) {
    const answer = weighed.get(part.file);
    if (!answer || answer.massG === null)
      unknown.push({ name: part.file, because: answer?.because ?? 'no such file' });
    else bodies.push(...(await placed(part, answer)));
  }
  for (const rod of kit.rods)
    if (rod.grams === undefined) unknown.push({ name: rod.name, because: 'no mass given' });
    else bodies.push(rodBody(rod));
  const result = core.balanceFigure(bodies, {
    base: kit.base && { outlineMm: kit.base.outline, massG: kit.base.grams, heightMm: kit.base.height }, // prettier-ignore
    ceilingMm: options.ceiling,
    pushHeightMm: options.push,
    wantedDeg: options.tip,
    unknown,
  });
  const { balanceText } = await import('../render/balance.ts');
  io.stdout(options.json ? `${JSON.stringify(result, null, 2)}\n` : balanceText(result, io.columns ?? 80)); // prettier-ignore
  if (unknown.length > 0) setExit(EXIT.incomplete);
}

async function weigh(
  io: Io,
  kit: Kit,
  folder: string,
  setup: WeighSetup,
  threads: number,
): Promise<Map<string, WeighAnswer>> {
  const [{ recipeOf }, { runPool }, { progressBar }] = await Promise.all([
    import('@scantling/core'),
    import('../pool.ts'),
    import('../render/progress.ts'),
  ]);
  const jobs = kit.parts
    .filter((p) => p.quantity > 0 && existsSync(resolve(folder, p.file)))
    .map((p): WeighJob => ({ path: resolve(folder, p.file), name: p.file, unit: p.unit, material: p.material, ...recipeOf(p) })); // prettier-ignore
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
      out.set(job.name, { massG: null, solidG: 0, centreMm: [0, 0, 0], points: new Float64Array(), because: failure.message }); // prettier-ignore
      bar.step(job.name);
    },
  });
  bar.end();
  return out;
}

/** One body per copy, at its place in the figure. */
async function placed(part: KitPart, answer: WeighAnswer): Promise<StandingBody[]> {
  const { quatFromTurnsDeg, quatToMatrix, transformPositions, pieceNames } = await import('@scantling/core'); // prettier-ignore
  const still: Place = { turn: [0, 0, 0], move: [0, 0, 0] };
  const places = part.place === 'as modelled' ? [still] : part.place;
  return pieceNames(part).slice(0, places.length).map((name, i) => {
    const place = places[i] ?? still;
    const m = quatToMatrix(quatFromTurnsDeg(place.turn));
    const c = transformPositions(answer.centreMm, m, place.move);
    return {
      name,
      group: part.group ?? 'no group',
      massG: answer.massG ?? 0,
      centreMm: [c[0] ?? 0, c[1] ?? 0, c[2] ?? 0] as const,
      points: transformPositions(answer.points, m, place.move),
      ...(part.role === 'weight' && { solidG: answer.solidG }),
    };
  }); // prettier-ignore
}

const rodBody = (rod: Kit['rods'][number]): StandingBody => ({
  name: rod.name,
  group: 'rods',
  massG: rod.grams ?? 0,
  centreMm: [0, 1, 2].map((i) => ((rod.from[i] ?? 0) + (rod.to[i] ?? 0)) / 2) as unknown as StandingBody['centreMm'], // prettier-ignore
  points: Float64Array.from([...rod.from, ...rod.to]),
});
