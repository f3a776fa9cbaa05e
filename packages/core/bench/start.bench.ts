import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

export const name = 'start: scantling --version and --help against node -e 0 (built command)';

const MAIN = fileURLToPath(new URL('../../cli/dist/main.js', import.meta.url));

export function run(): Promise<void> {
  const asked = [
    ['-e', '0'],
    [MAIN, '--version'],
    [MAIN, '--help'],
  ];
  const least = asked.map(() => Infinity);
  // In turns and the least of many: other work on the machine then weighs on all alike.
  for (let round = 0; round < 25; round++)
    asked.forEach((args, i) => {
      const start = performance.now();
      spawnSync(process.execPath, args, { stdio: 'ignore' });
      least[i] = Math.min(least[i] ?? Infinity, performance.now() - start);
    });
  const [empty = NaN, version = NaN, help = NaN] = least;
  console.log(`node -e 0 ${empty.toFixed(1)} ms, --version ${(version / empty).toFixed(2)} x, --help ${(help / empty).toFixed(2)} x`); // prettier-ignore
  return Promise.resolve();
}
