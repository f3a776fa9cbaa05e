import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('..', import.meta.url));

/** Runs one step from the project's top folder; a failing step ends the whole run. */
export function run(command, args, options = {}) {
  const windows = process.platform === 'win32';
  const { status, error } = spawnSync(command, args, {
    cwd: root,
    stdio: 'inherit',
    shell: windows,
    ...options,
  });
  if (error) console.error(`${command}: ${error.message}`);
  if (status !== 0) process.exit(status ?? 1);
}

/** A tool from the workspace's own node_modules. */
export const tool = (name) => `${root}node_modules/.bin/${name}`;
