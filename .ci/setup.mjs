// Brings a fresh checkout to a working state with nothing but Node and npm: the pinned pnpm
// installs the locked packages, then both packages are built.
import { readFileSync } from 'node:fs';
import { run } from './run-step.mjs';

const { packageManager } = JSON.parse(
  readFileSync(new URL('../package.json', import.meta.url), 'utf8'),
);
run('npx', ['--yes', packageManager, 'install', '--frozen-lockfile', '--prefer-offline']);
await import('./build.mjs');
