import { boxEnvelope } from '../src/envelope/index.ts';
import type { Vec3 } from '../src/math/index.ts';
import { ballMesh, type Mesh } from '../src/mesh/index.ts';
import { evaluateSupports, rankOrientations, supportTruth } from '../src/orient/index.ts';
import { geodesicDirections } from '../src/orient/candidates.ts';
import { bodyOf } from '../src/orient/turned.ts';

export const name = 'orient: ways up of a lumpy figure';

/** A ball stretched and rippled: closed, one shell, overhangs on itself. */
export function figure(facets: number): Mesh {
  // 20 * 4^level facets: the level nearest to the wanted number.
  const level = Math.round(Math.log(facets / 20) / Math.log(4));
  const ball = ballMesh(1, level);
  const positions = ball.positions.slice();
  for (let i = 0; i < positions.length; i += 3) {
    const [x, y, z] = [positions[i], positions[i + 1], positions[i + 2]] as unknown as Vec3;
    const lumps = 0.25 * Math.sin(5 * x + 1) * Math.sin(4 * y + 2) * Math.sin(6 * z);
    const r = 60 * (1 + lumps + 0.1 * Math.sin(17 * x) * Math.sin(13 * z + y * 9));
    positions.set([x * r, y * r * 0.7, z * r * 1.6], i);
  }
  return { positions, triangles: ball.triangles };
}

const median = (values: number[]): number =>
  values.sort((a, b) => a - b)[Math.floor(values.length / 2)] as number;
const timed = (work: () => void): number => {
  const start = performance.now();
  work();
  return performance.now() - start;
};

export async function run(): Promise<void> {
  const envelope = boxEnvelope(420, 420, 500);
  const ups = geodesicDirections(2);
  for (const facets of [81_920, 327_680, 1_310_720]) {
    const mesh = figure(facets);
    const body = bodyOf(mesh, true);
    const few = ups.slice(0, facets > 1e6 ? 8 : 24);
    let sum = 0;
    const columns = few.map((up) =>
      timed(() => (sum += evaluateSupports(body, up, { selfSupportDeg: 45 }).volumeMm3)),
    );
    let truthSum = 0;
    const truth = await supportTruth(mesh);
    const rays = few.map((up) =>
      timed(() => (truthSum += truth(up, { selfSupportDeg: 45, rays: 20_000 }))),
    );
    const ratio = median(rays) / median(columns);
    console.log(
      `${mesh.triangles.length / 3} facets: ${(1000 / median(columns)).toFixed(0)} ways/s by columns, ${(1000 / median(rays)).toFixed(0)} by 20 000 rays each; ${ratio.toFixed(1)} times as fast; sums differ by ${(100 * Math.abs(sum / truthSum - 1)).toFixed(2)} %`,
    );
    const full = [1, 2, 3].map(() => timed(() => void rankOrientations(mesh, envelope)));
    const quick = [1, 2, 3].map(() =>
      timed(() => void rankOrientations(mesh, envelope, { quick: true })),
    );
    const tried = rankOrientations(mesh, envelope).tried.directions;
    console.log(
      `  full ranking ${median(full).toFixed(0)} ms (least ${Math.min(...full).toFixed(0)}); quick ${median(quick).toFixed(0)} ms; rays alone for its ${tried} directions: ${((tried * median(rays)) / 1000).toFixed(1)} s, ${((tried * median(rays)) / median(full)).toFixed(0)} times as long`,
    );
  }
}
