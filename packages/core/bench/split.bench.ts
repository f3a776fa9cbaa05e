import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { boxEnvelope, proposeSplit, readParts, scaleMesh, torusMesh, type Mesh, type Vec3 } from '../src/index.ts'; // prettier-ignore
import { prisms, splitBodies, splitFiles } from './split-bodies.ts';
import { randomPlans, SEAM_ALONE } from './split-random.ts';

export const name =
  'split: seam against the best of 200 random valid plans; pieces against the proved bound; plane search of 200 k facets';

/** For bodies of three pieces chance needs up to a minute to find that many. */
const RANDOM = { plans: 200, seconds: 240 };
const SIZE: Vec3 = [220, 220, 250];
const machine = boxEnvelope(...SIZE);
const root = new URL('../../../', import.meta.url).pathname;
const folders = [
  ['fixtures/lamplighter', 1],
  ['node_modules/stl-models/objects', 1],
  ['../shared/real-parts/robot-dog/spotmicro', 1],
  // In metres, see the folder's notice.
  ['../shared/real-parts/robot-dog/openquadruped', 1000],
] as const;

export function run(): Promise<void> {
  seams();
  search();
  table();
  return Promise.resolve();
}

function seams(): void {
  const bodies: [string, () => Mesh][] = [
    ...Object.entries(splitBodies),
    ...splitFiles.map(([path, scale]): [string, () => Mesh] => [
      `${basename(path, '.stl')} x ${scale}`,
      () => scaleMesh(readParts(readFileSync(join(root, path)), { name: path })[0]?.mesh as Mesh, scale), // prettier-ignore
    ]),
  ];
  const kinds = ['all bodies', 'all bodies, judged by the seam alone', 'without prisms', 'without prisms, judged by the seam alone']; // prettier-ignore
  const sums = new Map(kinds.map((kind) => [kind, { ours: 0, theirs: 0 }]));
  for (const [what, make] of bodies) {
    const mesh = make();
    const best = (settings?: typeof SEAM_ALONE): { pieces: number; seam: number } | null => {
      const [plan] = proposeSplit(mesh, [machine], { alternatives: 1, ...(settings && { settings }) }).plans; // prettier-ignore
      const seam = plan?.cuts.reduce((sum, c) => sum + c.seam.lengthMm, 0);
      return plan && seam !== undefined ? { pieces: plan.pieces.length, seam } : null;
    };
    const [usual, alone] = [best(), best(SEAM_ALONE)];
    if (!usual || !alone) continue;
    const random = randomPlans(mesh, SIZE, usual.pieces, RANDOM.plans, RANDOM.seconds);
    if (random.valid >= RANDOM.plans)
      kinds.forEach((kind, i) => {
        const sum = sums.get(kind);
        const mine = i % 2 === 0 ? usual : alone;
        if (!sum || mine.pieces !== usual.pieces || (i > 1 && prisms.includes(what))) return;
        sum.ours += mine.seam;
        sum.theirs += random.bestMm;
      });
    const ratio = (seam: number): string => (random.valid > 0 ? (seam / random.bestMm).toFixed(2) : '-'); // prettier-ignore
    console.log(
      `  ${what.padEnd(26)} ${usual.pieces} pieces  seam ${usual.seam.toFixed(0)} mm, by seam alone ${alone.seam.toFixed(0)} mm, best of ${random.valid} random (${random.tried} tried) ${random.valid > 0 ? `${random.bestMm.toFixed(0)} mm` : '-'}, ratios ${ratio(usual.seam)} and ${ratio(alone.seam)}`,
    );
  }
  for (const [kind, { ours, theirs }] of sums)
    console.log(
      `  total seam of bodies with ${RANDOM.plans} random plans, ours over theirs, ${kind}: ${(ours / theirs).toFixed(3)}`,
    );
}

function search(): void {
  const mesh = torusMesh(110, 38, 460, 220);
  const cpu: number[] = [];
  const wall: number[] = [];
  let pieces = 0;
  for (let i = 0; i < 5; i++) {
    const before = process.cpuUsage();
    const start = performance.now();
    pieces = proposeSplit(mesh, [machine], { alternatives: 1 }).plans[0]?.pieces.length ?? 0;
    wall.push(performance.now() - start);
    const used = process.cpuUsage(before);
    cpu.push((used.user + used.system) / 1000);
  }
  console.log(
    `  ${mesh.triangles.length / 3} facets into ${pieces}: best ${Math.min(...wall).toFixed(0)} ms, processor time best ${Math.min(...cpu).toFixed(0)} ms of ${cpu.length} runs`,
  );
}

/** Every part of the fixtures and of real kits, scaled by 1, 2 and 4. */
function table(): void {
  const sums = { parts: 0, complete: 0, split: 0, pieces: 0, bound: 0, ms: 0, slowest: 0 };
  for (const [folder, unit] of folders.filter(([f]) => existsSync(join(root, f))))
    for (const file of readdirSync(join(root, folder)).filter((f) => /\.stl$/i.test(f))) {
      let mesh: Mesh | undefined;
      try {
        mesh = readParts(readFileSync(join(root, folder, file)), { name: file })[0]?.mesh;
      } catch {
        continue; // Some are broken on purpose.
      }
      if (!mesh) continue;
      const cells: string[] = [];
      for (const scale of [1, 2, 4]) {
        const start = performance.now();
        const { plans, lowerBound } = proposeSplit(scaleMesh(mesh, scale * unit), [machine], {
          alternatives: 1,
        });
        const ms = performance.now() - start;
        const [plan] = plans;
        sums.parts++;
        sums.ms += ms;
        sums.slowest = Math.max(sums.slowest, ms);
        if (plan?.complete) sums.complete++;
        if (plan?.complete && plan.pieces.length > 1) {
          sums.split++;
          sums.pieces += plan.pieces.length;
          sums.bound += lowerBound.count;
        }
        cells.push(`${plan ? `${plan.pieces.length}${plan.complete ? '' : ' incomplete'}` : 'none'} (${lowerBound.count}) ${ms.toFixed(0)} ms`); // prettier-ignore
      }
      console.log(`  ${file.slice(0, 34).padEnd(34)} ${cells.map((c) => c.padEnd(20)).join('')}`);
    }
  console.log(
    `  pieces (proved bound) at scales 1, 2, 4: ${sums.complete} of ${sums.parts} complete; ${sums.split} split into ${sums.pieces} pieces against a bound of ${sums.bound}; mean ${(sums.ms / sums.parts).toFixed(0)} ms, slowest ${sums.slowest.toFixed(0)} ms`,
  );
}
