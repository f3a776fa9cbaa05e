import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('../../', import.meta.url));
export const main = `${root}packages/cli/dist/main.js`;

/** `npm test` and `pnpm build` build before this; here only what is missing altogether is built. */
export function buildOnce(): void {
  const there = ['core/dist/index.js', 'core/dist/index.d.ts', 'cli/dist/main.js'];
  if (!there.every((file) => existsSync(`${root}packages/${file}`)))
    execFileSync('node', ['.ci/build.mjs'], { cwd: root, stdio: 'inherit' });
}

export interface Outcome {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** Runs the built command as a child process, streams caught. */
export function scantling(
  args: readonly string[],
  options: { readonly cwd?: string; readonly env?: Readonly<Record<string, string>> } = {},
): Outcome {
  const { status, stdout, stderr } = spawnSync(process.execPath, [main, ...args], {
    cwd: options.cwd ?? root,
    env: { ...process.env, NO_COLOR: '1', ...options.env },
    encoding: 'utf8',
  });
  return { code: status, out: stdout, err: stderr };
}
