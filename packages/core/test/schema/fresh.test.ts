import { readFileSync, readdirSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { generate } from '../../schema/generate.ts';

const folder = new URL('../../schema/', import.meta.url);

describe('the published schemas', () => {
  it('are what the code says (else run packages/core/schema/write.mjs)', async () => {
    const made = await generate();
    const there = readdirSync(folder).filter((name) => name.endsWith('.json'));
    expect(there.sort()).toEqual([...made.keys()].sort());
    for (const [name, text] of made) expect(readFileSync(new URL(name, folder), 'utf8')).toBe(text);
  });

  it('are JSON Schema by an independent validator (ajv)', async () => {
    for (const [name, text] of await generate()) {
      const schema = JSON.parse(text) as object;
      expect(new Ajv2020({ strict: true }).compile(schema), name).toBeTypeOf('function');
    }
  });
});
