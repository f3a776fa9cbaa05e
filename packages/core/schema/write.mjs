// Run after a change of any schema:
//   node --conditions=@scantling/source --import tsx packages/core/schema/write.mjs
import { readdir, rm, writeFile } from 'node:fs/promises';
import { generate } from './generate.ts';

const files = await generate();
for (const name of await readdir(import.meta.dirname))
  if (name.endsWith('.json') && !files.has(name)) await rm(`${import.meta.dirname}/${name}`);
for (const [name, text] of files) await writeFile(`${import.meta.dirname}/${name}`, text);
