// pnpm bench [WORD...]: runs every *.bench.ts here whose file name holds one of the words.
import { readdirSync } from 'node:fs';
import { availableParallelism, cpus } from 'node:os';

const words = process.argv.slice(2);
const files = readdirSync(import.meta.dirname)
  .filter((file) => file.endsWith('.bench.ts'))
  .filter((file) => words.length === 0 || words.some((word) => file.includes(word)))
  .sort();
console.log(`${cpus()[0]?.model ?? 'unknown processor'}, ${availableParallelism()} cores, Node ${process.version}`); // prettier-ignore
for (const file of files) {
  const bench = (await import(`./${file}`)) as { name: string; run: () => Promise<void> };
  console.log(`\n${bench.name}`);
  await bench.run();
}
