import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { MAIN, ripple, timed } from './big-kit.ts';

export const name = 'scan: 80 files, 800 MB, whole command';

const FILES = 80;

const least = (values: readonly number[]): number => Math.min(...values);

export async function run(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'scantling-bench-'));
  try {
    for (let i = 0; i < FILES; i++) writeFileSync(join(folder, `part_${i}.stl`), ripple(i + 1));
    const files = readdirSync(folder).map((file) => join(folder, file));
    const env = { ...process.env, XDG_CACHE_HOME: join(folder, 'cache') };
    const scan = [MAIN, 'scan', folder, '--envelope', '220x220x250'];
    // The files come out of the system's memory in both cases.
    const hash = (): number => {
      const start = performance.now();
      execFileSync('sh', ['-c', 'cat "$@" | sha256sum', 'sh', ...files]);
      return (performance.now() - start) / 1000;
    };
    hash();
    const sums: number[] = [];
    const uncached: { s: number; peakMB: number }[] = [];
    for (let round = 0; round < 3; round++) {
      sums.push(hash());
      uncached.push(await timed(process.execPath, [...scan, '--no-cache'], env));
    }
    const filling = await timed(process.execPath, scan, env);
    const answered = await timed(process.execPath, scan, env);
    const reference = least(sums);
    const report = (what: string, s: number, more = ''): void =>
      console.log(`  ${what.padEnd(34)} ${s.toFixed(2)} s  ${(s / reference).toFixed(2)} x${more}`);
    report('cat | sha256sum', reference);
    const peak = Math.max(...uncached.map((each) => each.peakMB));
    report('scan', least(uncached.map((each) => each.s)), `  peak ${peak.toFixed(0)} MB`);
    report('scan that fills the cache', filling.s);
    report('scan answered from the cache', answered.s);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
