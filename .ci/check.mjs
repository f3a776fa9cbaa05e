// Everything `npm test` asks: formatter, linter, types, tests. The tests run even when an earlier
// step fails, so that one run tells everything. The last line of the count is kept for `.ci/run`.
import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { root, tool } from './run-step.mjs';

const cache = `${root}.cache`;
const report = `${cache}/tests.json`;
mkdirSync(cache, { recursive: true });
rmSync(report, { force: true });

const steps = [
  ['prettier', ['--check', '--log-level', 'warn', '.']],
  ['eslint', ['.']],
  ['tsc', ['-p', 'tsconfig.json', '--noEmit']],
  ['vitest', ['run', '--reporter=default', '--reporter=json', `--outputFile.json=${report}`]],
];
const failed = steps.filter(([name, args]) => {
  console.log(`\n> ${name} ${args.join(' ').replaceAll(root, '')}`);
  return spawnSync(tool(name), args, { cwd: root, stdio: 'inherit' }).status !== 0;
});

/** Tests passed and failed; a test file that could not even be loaded counts as one that failed. */
function counts() {
  try {
    const { numPassedTests, numFailedTests, testResults } = JSON.parse(
      readFileSync(report, 'utf8'),
    );
    const broken = testResults.filter((f) => f.status === 'failed' && !f.assertionResults.length);
    return [numPassedTests, numFailedTests + broken.length];
  } catch {
    return [0, 0];
  }
}
const [passed, testsFailed] = counts();
const vitestOnly = failed.length === 1 && failed[0][0] === 'vitest';
const otherSteps = failed.filter(([name]) => name !== 'vitest').length;
const failures = testsFailed + otherSteps + (vitestOnly && testsFailed === 0 ? 1 : 0);
const line = `${passed} passed, ${failures} failed`;
writeFileSync(`${cache}/summary.txt`, `${line}\n`);

if (failed.length) console.error(`\nFailed: ${failed.map(([name]) => name).join(', ')}`);
console.log(line);
if (failed.length) process.exit(1);
