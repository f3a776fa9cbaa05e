import { spawnSync } from 'node:child_process';
import {
  closeSync,
  mkdtempSync,
  openSync,
  rmSync,
  statSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { build } from 'esbuild';
import { torusMesh, writeBinaryStl, type Mesh } from '../src/index.ts';

/**
 * STL to welded indexed mesh, against three's STLLoader with mergeVertices(1e-4) on the same files.
 * Every measurement is a process of its own running plain bundled JavaScript, so that its peak
 * memory is its own and no TypeScript loader slows it. SCANTLING_BENCH_HUGE=1 adds an ASCII file of
 * 550 MB, beyond the longest string of the engine.
 */
export const name = 'read: STL to welded mesh, own reader against STLLoader + mergeVertices';

const OURS = `
import { createReadBuffers } from 'SRC/index.ts';
import { readPartsFromFile } from 'SRC/node.ts';
const buffers = KEPT ? createReadBuffers() : undefined;
export const read = (path) => {
  const [part] = readPartsFromFile(path, { ...(buffers && { buffers }), seams: SEAMS });
  return [part.mesh.triangles.length / 3, part.mesh.positions.length / 3];
};`;
const THEIRS = `
import { readFileSync } from 'node:fs';
import { STLLoader } from 'three/addons/loaders/STLLoader.js';
import { mergeVertices } from 'three/addons/utils/BufferGeometryUtils.js';
export const read = (path) => {
  const bytes = readFileSync(path);
  const geometry = new STLLoader().parse(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length));
  if (!MERGE) return [geometry.getAttribute('position').count / 3, 0];
  geometry.deleteAttribute('normal');
  const merged = mergeVertices(geometry, 1e-4);
  return [merged.index.count / 3, merged.getAttribute('position').count];
};`;
const MAIN = `
import { readFileSync } from 'node:fs';
import { read } from './reader.ts';
// The kernel hands a parent's peak on to its child in maxRSS; VmHWM is the process's own.
const peakKb = () => {
  try {
    return Number(/VmHWM:\\s*(\\d+)/.exec(readFileSync('/proc/self/status', 'utf8'))[1]);
  } catch {
    return process.resourceUsage().maxRSS;
  }
};
const [path, runs] = process.argv.slice(2);
const times = [];
const cpu = [];
let counts;
try {
  for (let i = 0; i < Number(runs); i++) {
    const start = performance.now();
    const before = process.cpuUsage();
    counts = read(path);
    times.push(performance.now() - start);
    const used = process.cpuUsage(before);
    cpu.push((used.user + used.system) / 1000);
  }
  console.log(JSON.stringify({ times, cpu, counts, peakMb: (peakKb() * 1024) / 1e6 }));
} catch (error) {
  console.log(JSON.stringify({ failed: String(error.message ?? error).slice(0, 60) }));
}`;

interface Measured {
  readonly times?: number[];
  /** Processor time in ms: what remains comparable while other programs run. */
  readonly cpu?: number[];
  readonly counts?: [number, number];
  readonly peakMb?: number;
  readonly failed?: string;
}

export async function run(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'scantling-read-'));
  try {
    const ours = await bundled(folder, 'ours', OURS, { KEPT: 'true', SEAMS: '"off"' });
    const seams = await bundled(folder, 'seams', OURS, { KEPT: 'true', SEAMS: '"auto"' });
    const fresh = await bundled(folder, 'fresh', OURS, { KEPT: 'false', SEAMS: '"off"' });
    const merged = await bundled(folder, 'merged', THEIRS, { MERGE: 'true' });
    const loader = await bundled(folder, 'loader', THEIRS, { MERGE: 'false' });

    for (const steps of [187, 660, 1000]) {
      const path = join(folder, `${steps}.stl`);
      writeFileSync(path, writeBinaryStl(torusMesh(50, 20, steps, steps)));
      const runs = steps < 500 ? 9 : 5;
      report('binary', path, measure(ours, path, runs), measure(merged, path, steps < 500 ? 5 : 2));
      print('  with the search for open seams', measure(seams, path, runs));
      print('  one read, arrays of its own   ', measure(fresh, path, 1));
    }
    const ascii = join(folder, 'ascii.stl');
    writeAscii(ascii, torusMesh(50, 20, 450, 450), 1);
    report('ASCII (STLLoader alone, no weld)', ascii, measure(ours, ascii, 3), measure(loader, ascii, 3)); // prettier-ignore
    if (process.env.SCANTLING_BENCH_HUGE === '1') {
      const huge = join(folder, 'huge.stl');
      writeAscii(huge, torusMesh(50, 20, 450, 450), 6);
      report(
        'ASCII beyond the string limit',
        huge,
        measure(ours, huge, 1),
        measure(loader, huge, 1),
      );
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function bundled(
  folder: string,
  label: string,
  reader: string,
  define: Record<string, string>,
): Promise<string> {
  // prettier-ignore
  const source = new URL('../src', import.meta.url).pathname;
  const outfile = join(folder, `${label}.mjs`);
  await build({
    stdin: { contents: MAIN, resolveDir: source, loader: 'js' },
    bundle: true,
    platform: 'node',
    format: 'esm',
    outfile,
    define,
    logLevel: 'error',
    plugins: [
      {
        name: 'reader',
        setup(b) {
          b.onResolve({ filter: /^\.\/reader\.ts$/ }, () => ({ path: 'reader', namespace: 'reader' })); // prettier-ignore
          b.onLoad({ filter: /.*/, namespace: 'reader' }, () => ({ contents: reader.replaceAll('SRC', source), resolveDir: source })); // prettier-ignore
        },
      },
    ],
  });
  return outfile;
}

function measure(script: string, path: string, runs: number): Measured {
  const { stdout, stderr } = spawnSync(process.execPath, [script, path, `${runs}`], { encoding: 'utf8' }); // prettier-ignore
  return stdout.trim() === '' ? { failed: stderr.slice(-60) } : (JSON.parse(stdout) as Measured);
}

const best = (m: Measured): number => Math.min(...(m.times ?? [Infinity]));
const bestCpu = (m: Measured): number => Math.min(...(m.cpu ?? [Infinity]));
const worded = (m: Measured): string =>
  m.failed !== undefined
    ? `fails (${m.failed})`
    : `${best(m).toFixed(1)} ms (${m.times?.map((t) => t.toFixed(0)).join(' ')}), processor ${bestCpu(m).toFixed(0)} ms, peak ${m.peakMb?.toFixed(0)} MB, ${m.counts?.join(' facets, ')} vertices`; // prettier-ignore

function print(label: string, m: Measured): void {
  console.log(`${label}: ${worded(m)}`);
}

function report(label: string, path: string, ours: Measured, theirs: Measured): void {
  console.log(`${label}, ${(statSync(path).size / 1e6).toFixed(1)} MB`);
  print('  own reader, kept arrays       ', ours);
  print('  three                         ', theirs);
  if (ours.times && theirs.times)
    console.log(
      `  ratio ${(best(theirs) / best(ours)).toFixed(1)}, of processor time ${(bestCpu(theirs) / bestCpu(ours)).toFixed(1)}`,
    );
}

/** The mesh as ASCII STL, so many times over, in seven digits as many programs write them. */
function writeAscii(path: string, mesh: Mesh, times: number): void {
  const file = openSync(path, 'w');
  for (let k = 0; k < times; k++) {
    writeSync(file, `solid torus ${k}\n`);
    let text = '';
    for (let f = 0; f < mesh.triangles.length; f += 3) {
      text += ' facet normal 0.000000e+00 0.000000e+00 1.000000e+00\n  outer loop\n';
      for (let i = 0; i < 3; i++) {
        const v = 3 * (mesh.triangles[f + i] as number);
        text += `   vertex ${(mesh.positions[v] as number).toExponential(6)} ${(mesh.positions[v + 1] as number).toExponential(6)} ${(mesh.positions[v + 2] as number).toExponential(6)}\n`;
      }
      text += '  endloop\n endfacet\n';
      if (text.length > 1 << 20) {
        writeSync(file, text);
        text = '';
      }
    }
    writeSync(file, `${text}endsolid torus ${k}\n`);
  }
  closeSync(file);
}
