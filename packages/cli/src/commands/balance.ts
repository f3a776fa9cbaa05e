import type { StandingBody } from '@scantling/core';
import type { Command } from 'commander';
import { EXIT, type Io, type SetExit } from '../io.ts';
import {
  cacheOption,
  jobsOption,
  loadWorkshop,
  positive,
  shopOptions,
  type ShopOptions,
} from '../options.ts';

interface Options extends ShopOptions {
  readonly ceiling?: number;
  readonly tip?: number;
  readonly push?: number;
  readonly json?: boolean;
  readonly jobs: number;
  readonly cache: boolean;
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
    .addOption(cacheOption())
    .action(async (kit: string, options: Options) => balance(io, setExit, kit, options));
}

async function balance(io: Io, setExit: SetExit, given: string, options: Options): Promise<void> {
  const [core, { openKit }, { baseOf, standingFigure }] = await Promise.all([import('@scantling/core'), import('../kit-session.ts'), import('../balance-run.ts')]); // prettier-ignore
  const workshop = await loadWorkshop(io, options);
  const { kit, folder } = await openKit(io, given);
  const { bodies, unknown, lowWalls, alsoWith } = await standingFigure(io, kit, folder, workshop, options); // prettier-ignore
  const balanced = (of: readonly StandingBody[]) =>
    core.balanceFigure(of, {
      base: baseOf(kit),
      ceilingMm: options.ceiling,
      pushHeightMm: options.push,
      wantedDeg: options.tip,
      unknown,
    });
  let result = balanced(bodies);
  for (;;) {
    const walls = result.wanted && lowWalls !== null && core.wallsToTry(result.wanted, lowWalls);
    if (!walls) break;
    result = balanced(await alsoWith(walls));
  }
  const { balanceText } = await import('../render/balance.ts');
  io.stdout(options.json ? `${JSON.stringify(result, null, 2)}\n` : balanceText(result, io.columns ?? 80)); // prettier-ignore
  if (unknown.length > 0) setExit(EXIT.incomplete);
}
