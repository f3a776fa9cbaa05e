import { format } from 'prettier';
import * as z from 'zod';
import { schemas } from './list.ts';

/** File name and text of every JSON Schema (draft 2020-12), in the project's own formatting. */
export async function generate(): Promise<ReadonlyMap<string, string>> {
  const files = new Map<string, string>();
  for (const [name, { schema, input }] of Object.entries(schemas)) {
    const json = z.toJSONSchema(schema, { io: input ? 'input' : 'output' });
    const { $schema, ...rest } = json;
    const text = JSON.stringify({ $schema, title: `scantling/${name}`, ...rest });
    files.set(
      `${name}.json`,
      await format(text, { parser: 'json', printWidth: 100, singleQuote: true }),
    );
  }
  return files;
}
