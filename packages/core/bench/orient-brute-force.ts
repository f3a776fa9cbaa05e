// By hand: node --conditions=@scantling/source --import tsx packages/core/bench/orient-brute-force.ts [DIRECTIONS] [NAME,NAME...] [KEPT.json]
// The least support volume over many directions by rays alone, against the ranking's own. What the
// directions gave is kept in KEPT.json, if one is named: the slow half then runs only once.
import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { resolve } from 'node:path';
import { boxEnvelope } from '../src/envelope/index.ts';
import { seededRandom, type Vec3 } from '../src/math/index.ts';
import { boxMesh, edgeNeighbours, joinMeshes, scaleMesh, shells, torusMesh, type Mesh } from '../src/mesh/index.ts'; // prettier-ignore
import { orientSettingsSchema, rankOrientations, supportTruth } from '../src/orient/index.ts';
import { readParts } from '../src/read/index.ts';
import { figure } from './orient.bench.ts';

const count = Number(process.argv[2] ?? 10_000);
const only = process.argv[3]?.split(',').filter(Boolean) ?? [];
const keptFile = process.argv[4];

const read = (path: string): Mesh => {
  const [part] = readParts(new Uint8Array(readFileSync(path)), { name: path });
  if (!part) throw new Error(path);
  return part.mesh;
};
const root = process.env.SCANTLING_ROOT ?? resolve(import.meta.dirname, '../../..');
const model = (name: string): Mesh =>
  read(createRequire(resolve(root, 'packages/core/package.json')).resolve(`stl-models/objects/${name}`)); // prettier-ignore
const bodies: [string, () => Mesh][] = [
  ['gearwheel', () => model('gearwheel.bin.stl')],
  ['bunny', () => scaleMesh(model('bunny.bin.stl'), 1000)],
  ['figure', () => figure(128, 80)],
  ['ring-on-bar', () => joinMeshes([torusMesh(30, 8, 48, 24), boxMesh([90, 9, 9], [-45, -4, 20])])],
  ...folder('fixtures/lamplighter', ['arm-left', 'arm-right', 'belt-back', 'belt-buckle', 'belt-front', 'boot-left', 'coat-back', 'coat-button', 'coat-front', 'hand-left', 'hand-right', 'hat-brim', 'hat-crown', 'hat-feather', 'head', 'hips', 'lamp-pole', 'lantern-frame', 'lantern-panel', 'lantern-roof', 'leg-left', 'moustache', 'scarf-ring', 'scarf-tail', 'shoulder-ring-left', 'torso-lower', 'torso-middle', 'torso-upper', 'tube-collar-inch']),
  ...folder('../shared/real-parts/robot-dog/openquadruped', ['BACK', 'LEFT_FOOT', 'LEFT_HIP', 'LEFT_UPPER_LEG', 'SERVO_WITH_COVER']),
  ...folder('../shared/real-parts/robot-dog/spotmicro', ['foot', 'frontpart', 'larm', 'lshoulder', 'mainbody']),
]; // prettier-ignore

function folder(path: string, names: readonly string[]): [string, () => Mesh][] {
  const at = resolve(root, path);
  const there = existsSync(at) ? readdirSync(at) : [];
  return names
    .filter((name) => there.includes(`${name}.stl`))
    .map((name) => [name, () => read(resolve(at, `${name}.stl`))]);
}

interface Brute {
  readonly up: Vec3;
  readonly seconds: number;
}
const kept = (
  keptFile && existsSync(keptFile) ? JSON.parse(readFileSync(keptFile, 'utf8')) : {}
) as Record<string, Brute>;

const settings = orientSettingsSchema.parse({ bridgeMm: 0 });
for (const [name, make] of bodies) {
  if (only.length > 0 && !only.includes(name)) continue;
  const mesh = make();
  const overlaps = shells(mesh, edgeNeighbours(mesh)).count > 1;
  const envelope = boxEnvelope(2000, 2000, 2000);
  rankOrientations(mesh, envelope, { settings });
  const start = performance.now();
  const { ways } = rankOrientations(mesh, envelope, { settings });
  const oursS = (performance.now() - start) / 1000;
  const truth = await supportTruth(mesh, overlaps);
  // So many rays that chance no longer decides.
  const dense = (up: Vec3): number => truth(up, { selfSupportDeg: 45, rays: 50_000 });
  const brute = kept[`${name} ${count}`] ?? bruteForce(truth, dense);
  kept[`${name} ${count}`] = brute;
  if (keptFile) writeFileSync(keptFile, JSON.stringify(kept));

  const least = dense(brute.up);
  const all = ways.map((w) => dense(w.up as Vec3));
  const mine = Math.min(...all);
  const seen = ways.map((w) => w.supports.volumeMm3);
  const ratio = (volume: number): string =>
    least > 1e-6 ? (volume / least).toFixed(4) : volume > 1e-6 ? 'infinite' : '1 (both 0)';
  console.log(
    `${name}: ${mesh.triangles.length / 3} facets; least of ${count} directions ${least.toFixed(2)} mm3 in ${brute.seconds.toFixed(1)} s; least listed ${mine.toFixed(2)} in ${oursS.toFixed(2)} s: ratio ${ratio(mine)}, time 1/${(brute.seconds / oursS).toFixed(0)}; the choice ${ratio(all[0] as number)}${ways[0]?.steady ? '' : ', unsteady'} (own figures ${(seen[0] ?? NaN).toFixed(2)}, least ${Math.min(...seen).toFixed(2)})`,
  );
}

function bruteForce(
  truth: Awaited<ReturnType<typeof supportTruth>>,
  dense: (up: Vec3) => number,
): Brute {
  const random = seededRandom(17);
  const start = performance.now();
  const rough = Array.from({ length: count }, () => {
    const z = 2 * random() - 1;
    const a = 2 * Math.PI * random();
    const r = Math.sqrt(1 - z * z);
    const up: Vec3 = [r * Math.cos(a), r * Math.sin(a), z];
    return { up, volume: truth(up, { selfSupportDeg: 45, rays: 500 }) };
  }).sort((p, q) => p.volume - q.volume);
  const [best] = rough
    .slice(0, 20)
    .map(({ up }) => ({ up, volume: dense(up) }))
    .sort((p, q) => p.volume - q.volume);
  if (!best) throw new Error('no directions');
  return { up: best.up, seconds: (performance.now() - start) / 1000 };
}
