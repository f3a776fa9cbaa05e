// Scans the Lamplighter, the demo kit: a 2.1 m figure in parts, some of them broken on purpose.
import { spawnSync } from 'node:child_process';
import { root } from './run-step.mjs';

const command = ['scan', 'fixtures/lamplighter', '--shop', 'fixtures/workshop.yaml'];
console.log(`\n$ scantling ${command.join(' ')}\n`);
const { status } = spawnSync(process.execPath, [`${root}packages/cli/dist/main.js`, ...command], {
  cwd: root,
  stdio: 'inherit',
});
if (status === 1)
  console.log('\nExit code 1 is right here: some files of the kit are broken on purpose.');
else if (status !== 0) process.exit(status ?? 70);
