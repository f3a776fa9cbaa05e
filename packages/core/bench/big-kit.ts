import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { seededRandom } from '../src/math/index.ts';
import { torusMesh } from '../src/mesh/index.ts';

/** The built command. */
export const MAIN = fileURLToPath(new URL('../../cli/dist/main.js', import.meta.url));

/**
 * A binary STL of some 10 MB, each file its own: a ring with a seeded ripple. Three of four are
 * rough to 1 % as scans and printed textures are (some hundred hull vertices); every fourth is
 * smooth, the worst case for the hull (25 000 hull vertices).
 */
export function ripple(seed: number): Uint8Array {
  const { positions, triangles } = torusMesh(60 + seed, 25, 500, 200);
  const random = seededRandom(seed);
  const [a, b, height] = [3 + 20 * random(), 3 + 20 * random(), 0.2 + random()];
  const rough = seed % 4 === 0 ? 0 : 0.01;
  const grain = Float64Array.from({ length: positions.length / 3 }, () => 1 + rough * random());
  const at = (v: number, k: number): number => {
    const x = positions[3 * v + k] as number;
    const wave = Math.sin(((positions[3 * v] as number) * a) / 60 + ((positions[3 * v + 1] as number) * b) / 60); // prettier-ignore
    return x * (1 + (height * wave) / 100) * (grain[v] as number);
  };
  const count = triangles.length / 3;
  const view = new DataView(new ArrayBuffer(84 + 50 * count));
  view.setUint32(80, count, true);
  triangles.forEach((v, i) => {
    const offset = 84 + 50 * Math.floor(i / 3) + 12 + 12 * (i % 3);
    for (let k = 0; k < 3; k++) view.setFloat32(offset + 4 * k, at(v, k), true);
  });
  return new Uint8Array(view.buffer);
}

/** Wall seconds, and the most memory the process and its threads had resident at any time. */
export function timed(
  command: string,
  args: readonly string[],
  env: NodeJS.ProcessEnv,
  cwd?: string,
) {
  return new Promise<{ s: number; peakMB: number }>((resolve, reject) => {
    const start = performance.now();
    let peakKB = 0;
    const child = spawn(command, args, { stdio: 'ignore', env, cwd });
    const watch = setInterval(() => {
      try {
        const status = readFileSync(`/proc/${child.pid}/status`, 'utf8');
        peakKB = Math.max(peakKB, Number(/VmHWM:\s+(\d+)/.exec(status)?.[1] ?? 0));
      } catch {
        // No such file on this system, or the process is just ending.
      }
    }, 50);
    child.on('error', reject);
    child.on('exit', () => {
      clearInterval(watch);
      resolve({ s: (performance.now() - start) / 1000, peakMB: peakKB / 1000 });
    });
  });
}
