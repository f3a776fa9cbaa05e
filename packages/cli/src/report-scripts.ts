import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { UsageError } from './failure.ts';
import type { PageScripts } from './render/page/page.ts';

/** Made by the build, beside the built command, whether this runs as source or built. */
const folder = fileURLToPath(
  new URL(import.meta.url.endsWith('.ts') ? '../dist/assets/' : './assets/', import.meta.url),
);

/** @throws when the build that makes the scripts was not run */
export function pageScripts(): PageScripts {
  if (!existsSync(`${folder}report-page.js`))
    throw new UsageError('the scripts of the page are missing: run `npm run build` first.');
  return {
    page: readFileSync(`${folder}report-page.js`, 'utf8').trimEnd(),
    turn: readFileSync(`${folder}report-turn.txt`, 'utf8'),
  };
}
