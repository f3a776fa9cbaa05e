import { mkdirSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { MAIN, ripple, timed } from './big-kit.ts';

export const name = 'report: 80 parts of 200 000 triangles, whole command, from the cache';

const PARTS = 80;
const AIM_S = 20;
const MOST_MB = 5;

/**
 * A kit with its figure, and with the split of every part that fits nowhere, so that the page is as
 * full as a page gets. The first report weighs and draws everything, which takes minutes; the
 * second finds all answers kept and is what is measured.
 */
export async function run(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'scantling-bench-'));
  try {
    const kit = join(folder, 'kit');
    const page = join(folder, 'report.html');
    const env = { ...process.env, XDG_CACHE_HOME: join(folder, 'cache') };
    const files = Array.from({ length: PARTS }, (_, i) => `part_${i}.stl`);
    mkdirSync(kit);
    files.forEach((file, i) => writeFileSync(join(kit, file), ripple(i + 1)));
    writeFileSync(join(kit, 'kit.yaml'), `name: Big kit\nparts:\n${files.map((file, i) => `  - {file: ${file}, group: g${i % 6}, place: [{turn: [0, 0, 0], move: [${340 * (i % 8)}, 0, ${340 * Math.floor(i / 8)}]}]}\n`).join('')}`); // prettier-ignore
    const envelope = ['--envelope', '260x260x300'];
    const tell = (what: string, { s, peakMB }: { s: number; peakMB: number }, more = ''): void =>
      console.log(`  ${what.padEnd(30)} ${s.toFixed(1)} s, peak ${peakMB.toFixed(0)} MB${more}`);

    console.log('  (splitting and the first drawing take some minutes)');
    const split = ['-c', 'exec "$0" "$@" >split.json', process.execPath, MAIN, 'split', '.', ...envelope, '--json']; // prettier-ignore
    tell('split of what fits nowhere', await timed('sh', split, env, kit));
    const report = [MAIN, 'report', kit, ...envelope, '--out', page, '--force'];
    tell('report that fills the cache', await timed(process.execPath, report, env));
    for (let round = 0; round < 3; round++) {
      const made = await timed(process.execPath, report, env);
      const mb = statSync(page).size / 1e6;
      tell('report from the cache', made, `, aim ${AIM_S} s; page ${mb.toFixed(2)} MB, at most ${MOST_MB} MB`); // prettier-ignore
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
