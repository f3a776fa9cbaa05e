import { cutPieces, planJoints, planesMesh } from '../src/cut/index.ts';
import { boxEnvelope, type Envelope } from '../src/envelope/index.ts';
import { JOIN_DEFAULTS } from '../src/join/index.ts';
import { torusMesh, type Mesh } from '../src/mesh/index.ts';
import { loadKernel } from '../src/solid/index.ts';
import { proposeSplit, type SplitPlan, type SplitTree } from '../src/split/index.ts';
import { pieceFiles } from '../src/write/index.ts';

export const name =
  'cut: plan, joints, pieces and files of 200 k facets, against bare plane splits';

const RUNS = 5;

/** A smooth ring with waves on it: 200 000 facets, nothing flat, nothing symmetrical but by halves. */
function wavyRing(radiusMm: number): Mesh {
  const mesh = torusMesh(radiusMm, 40, 400, 250);
  const p = mesh.positions;
  for (let i = 0; i < p.length; i += 3) {
    const [x, y] = [p[i] as number, p[i + 1] as number];
    const k = 1 + 0.06 * Math.sin(5 * Math.atan2(y, x)) + 0.0004 * x;
    for (let c = i; c < i + 3; c++) p[c] = (p[c] as number) * k;
  }
  return mesh;
}

/** Time of the processor, not of the clock: the figure does not depend on what else is running. */
const cpuMs = (): number => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};

const median = (times: number[]): number =>
  times.sort((a, b) => a - b)[(times.length - 1) / 2] as number;

/** The reference: nothing but the kernel's build and its splits on the plan's planes. */
async function bareSplits(mesh: Mesh, plan: SplitPlan): Promise<void> {
  const kernel = await loadKernel();
  kernel.scope((s) => {
    const walk = (tree: SplitTree, solid: ReturnType<typeof s.meshToSolid>): void => {
      if ('piece' in tree) {
        s.triangleCount(solid);
        return;
      }
      const plane = plan.planes.find((p) => p.id === tree.plane);
      if (!plane) return;
      const halves = s.splitByPlane(solid, plane);
      walk(tree.below, halves.below);
      walk(tree.above, halves.above);
    };
    walk(plan.tree, s.meshToSolid(mesh));
  });
}

/** Two pieces, as proved; three and four, one more than proved: that one is looked for in vain. */
const RADII_MM = [110, 130, 200];

export async function run(): Promise<void> {
  for (const radius of RADII_MM) await chain(wavyRing(radius));
}

async function chain(mesh: Mesh): Promise<void> {
  const envelopes: Envelope[] = [boxEnvelope(220, 220, 250)];
  await loadKernel();
  const laps: Record<string, number[]> = {};
  const walls: Record<string, number[]> = {};
  const lap = async <T>(step: string, work: () => T | Promise<T>): Promise<T> => {
    const start = cpuMs();
    const clock = performance.now();
    const result = await work();
    (laps[step] ??= []).push(cpuMs() - start);
    (walls[step] ??= []).push(performance.now() - clock);
    return result;
  };
  let facts = '';
  for (let k = 0; k < RUNS; k++) {
    const split = await lap('plan', () =>
      proposeSplit(mesh, envelopes, { part: 'ring', alternatives: 1 }),
    );
    const plan = split.plans[0];
    if (!plan) throw new Error('The ring has no plan.');
    const joints = await lap('joints', () => planJoints(mesh, plan, JOIN_DEFAULTS));
    const cut = await lap('cut', () => cutPieces(mesh, plan, joints, { envelopes }));
    if (!cut.written) throw new Error(cut.because);
    const files = await lap('write', () => pieceFiles(cut.pieces, 'ring'));
    await lap('planes', () => planesMesh(joints));
    await lap('bare splits', () => bareSplits(mesh, plan));
    const dowels = joints.flatMap((j) => j.regions.flatMap((r) => r.dowels));
    facts =
      `${plan.pieces.length} pieces (${split.lowerBound.count} at least), ${dowels.length} dowels, ` +
      `least wall ${Math.min(...dowels.map((d) => d.leastWallMm)).toFixed(3)} mm, ` +
      `volume off by ${cut.volumes.relativeError.toExponential(1)}, ` +
      `${files.stl.every((f) => f.readBack.closed && f.readBack.oriented) ? 'all' : 'NOT all'} files sound`;
  }
  const of = (step: string): number => median(laps[step] ?? []);
  for (const step of Object.keys(laps))
    console.log(
      `  ${step.padEnd(12)} ${of(step).toFixed(0)} ms of processor time, ${median(walls[step] ?? []).toFixed(0)} ms by the clock`,
    );
  const ours = of('joints') + of('cut') + of('write');
  const clock = ['plan', 'joints', 'cut', 'write'].reduce((t, k) => t + median(walls[k] ?? []), 0);
  console.log(`  ${facts}`);
  console.log(`  whole chain: ${(ours + of('plan')).toFixed(0)} ms, ${clock.toFixed(0)} ms by the clock`); // prettier-ignore
  console.log(
    `  joints + cut + write: ${(ours / of('bare splits')).toFixed(2)} x bare splits; ` +
      `with the plan ${((ours + of('plan')) / of('bare splits')).toFixed(2)} x (medians of ${RUNS})`,
  );
}
