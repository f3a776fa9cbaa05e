// The scripts of the report page, bundled into text that the command puts into every page: a small
// one that runs at once, and the viewer, deflated, for when somebody wants to turn a part around.
import { mkdirSync, writeFileSync } from 'node:fs';
import { deflateSync } from 'node:zlib';
import { build } from 'esbuild';
import { root } from './run-step.mjs';

const out = `${root}packages/cli/dist/assets`;
mkdirSync(out, { recursive: true });

async function bundle(name) {
  const { outputFiles } = await build({
    entryPoints: [`${root}packages/cli/src/page/${name}.ts`],
    bundle: true,
    minify: true,
    write: false,
    format: 'iife',
    target: 'es2022',
    charset: 'ascii',
    legalComments: 'none',
    // No setting of the workspace's sources leaks into the page.
    tsconfigRaw: {},
  });
  return outputFiles[0].text;
}

writeFileSync(`${out}/report-page.js`, await bundle('page'));
// three.js is under the MIT licence, which asks for its notice in every copy.
const notice =
  '/*! three.js, Copyright 2010-2026 three.js authors, SPDX-License-Identifier: MIT */\n';
const turn = deflateSync(notice + (await bundle('turn')), { level: 9 });
writeFileSync(`${out}/report-turn.txt`, turn.toString('base64'));
