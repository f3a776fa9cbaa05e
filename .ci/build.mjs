// Core first: the command's types come from core's built declarations only when packed, but its
// code runs against core's built files.
import { root, run, tool } from './run-step.mjs';

run(tool('tsc'), ['-p', 'packages/core/tsconfig.json']);
run(tool('tsc'), ['-p', 'packages/cli/tsconfig.json']);
run(process.execPath, [`${root}.ci/build-page.mjs`]);
