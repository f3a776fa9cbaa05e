import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('../../', import.meta.url));
const main = `${root}packages/cli/dist/main.js`;

const newest = (folder: string, ending: string): number =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith(ending))
    .reduce((latest, name) => Math.max(latest, statSync(`${folder}/${name}`).mtimeMs), 0);

/** Builds both packages when a source is newer than what was built last. */
export function buildOnce(): void {
  const stale = ['core', 'cli'].some((name) => {
    const dist = `${root}packages/${name}/dist`;
    return !existsSync(dist) || newest(`${root}packages/${name}/src`, '.ts') > newest(dist, '.js');
  });
  if (stale) execFileSync('node', ['.ci/build.mjs'], { cwd: root, stdio: 'pipe' });
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
