// Everything `npm test` asks: formatter, linter, types, tests. The tests run even when an earlier
// step fails, so that one run tells everything.
import { spawnSync } from 'node:child_process';
import { root, tool } from './run-step.mjs';

const steps = [
  ['prettier', ['--check', '--log-level', 'warn', '.']],
  ['eslint', ['.']],
  ['tsc', ['-p', 'tsconfig.json', '--noEmit']],
  ['vitest', ['run']],
];
const failed = steps.filter(([name, args]) => {
  console.log(`\n> ${name} ${args.join(' ')}`);
  return spawnSync(tool(name), args, { cwd: root, stdio: 'inherit' }).status !== 0;
});
if (failed.length) {
  console.error(`\nFailed: ${failed.map(([name]) => name).join(', ')}`);
  process.exit(1);
}
