import { readFileSync } from 'node:fs';

/** Version of the installed package; the path holds for `src` and `dist` alike. */
export function version(): string {
  const text = readFileSync(new URL('../package.json', import.meta.url), 'utf8');
  return (JSON.parse(text) as { version: string }).version;
}
