// By hand: node --conditions=@scantling/source --import tsx packages/core/bench/orient-brute-force.ts [DIRECTIONS] [MODEL]
// The least support volume over many directions by rays alone, against the ranking's own.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { boxEnvelope } from '../src/envelope/index.ts';
import { seededRandom, type Vec3 } from '../src/math/index.ts';
import { joinMeshes, scaleMesh, boxMesh, torusMesh, type Mesh } from '../src/mesh/index.ts';
import { orientSettingsSchema, rankOrientations, supportTruth } from '../src/orient/index.ts';
import { readParts } from '../src/read/index.ts';
import { figure } from './orient.bench.ts';

const count = Number(process.argv[2] ?? 10_000);
const only = process.argv[3];
const model = (name: string): Mesh => {
  const path = createRequire(import.meta.url).resolve(`stl-models/objects/${name}`);
  const [part] = readParts(new Uint8Array(readFileSync(path)), { name });
  if (!part) throw new Error(name);
  return part.mesh;
};
const bodies: [string, () => Mesh, boolean][] = [
  ['gearwheel', () => model('gearwheel.bin.stl'), false],
  ['bunny', () => scaleMesh(model('bunny.bin.stl'), 1000), false],
  ['figure', () => figure(20_480), false],
  ['ring-on-bar', () => joinMeshes([torusMesh(30, 8, 48, 24), boxMesh([90, 9, 9], [-45, -4, 20])]), true],
]; // prettier-ignore

const settings = orientSettingsSchema.parse({ bridgeMm: 0 });
for (const [name, make, overlaps] of bodies) {
  if (only && only !== name) continue;
  const mesh = make();
  const envelope = boxEnvelope(1000, 1000, 1000);
  rankOrientations(mesh, envelope, { settings });
  let start = performance.now();
  const { ways } = rankOrientations(mesh, envelope, { settings });
  const oursMs = performance.now() - start;
  const truth = await supportTruth(mesh, overlaps);
  const random = seededRandom(17);
  start = performance.now();
  const rough = Array.from({ length: count }, () => {
    const z = 2 * random() - 1;
    const a = 2 * Math.PI * random();
    const r = Math.sqrt(1 - z * z);
    const up: Vec3 = [r * Math.cos(a), r * Math.sin(a), z];
    return { up, volume: truth(up, { selfSupportDeg: 45, rays: 1000 }) };
  }).sort((p, q) => p.volume - q.volume);
  // The best of the rough count again, with so many rays that chance no longer decides.
  const dense = (up: Vec3): number => truth(up, { selfSupportDeg: 45, rays: 50_000 });
  const least = Math.min(...rough.slice(0, 20).map(({ up }) => dense(up)));
  const bruteMs = performance.now() - start;
  const mine = Math.min(...ways.map((w) => dense(w.up as Vec3)));
  console.log(
    `${name}: ${mesh.triangles.length / 3} facets; brute force over ${count} directions ${least.toFixed(2)} mm3 in ${(bruteMs / 1000).toFixed(1)} s; ours ${mine.toFixed(2)} mm3 (same evaluator) in ${(oursMs / 1000).toFixed(2)} s; ratio ${least > 1e-6 ? (mine / least).toFixed(4) : mine > 1e-6 ? 'infinite' : '1 (both 0)'}, time 1/${(bruteMs / oursMs).toFixed(0)}`,
  );
}
