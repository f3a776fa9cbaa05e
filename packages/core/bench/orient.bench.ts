import { boxEnvelope } from '../src/envelope/index.ts';
import type { Mesh } from '../src/mesh/index.ts';
import { evaluateSupports, rankOrientations, supportTruth } from '../src/orient/index.ts';
import { geodesicDirections } from '../src/orient/candidates.ts';
import { bodyOf } from '../src/orient/turned.ts';

export const name = 'orient: ways up of a lumpy figure';

/** A ball stretched and rippled: closed, one shell, overhangs on itself. `facets`: 2 columns x rows. */
export function figure(columns: number, rows: number): Mesh {
  const positions: number[] = [];
  const put = (x: number, y: number, z: number): void => {
    const lumps = 0.25 * Math.sin(5 * x + 1) * Math.sin(4 * y + 2) * Math.sin(6 * z);
    const r = 60 * (1 + lumps + 0.1 * Math.sin(17 * x) * Math.sin(13 * z + y * 9));
    positions.push(x * r, y * r * 0.7, z * r * 1.6);
  };
  put(0, 0, -1);
  for (let i = 1; i <= rows; i++)
    for (let k = 0; k < columns; k++) {
      const low = -Math.PI / 2 + (Math.PI * i) / (rows + 1);
      const around = (2 * Math.PI * k) / columns;
      put(Math.cos(low) * Math.cos(around), Math.cos(low) * Math.sin(around), Math.sin(low));
    }
  put(0, 0, 1);
  const at = (i: number, k: number): number => 1 + (i - 1) * columns + (k % columns);
  const top = positions.length / 3 - 1;
  const triangles: number[] = [];
  for (let k = 0; k < columns; k++) {
    triangles.push(0, at(1, k + 1), at(1, k));
    for (let i = 1; i < rows; i++) {
      triangles.push(at(i, k), at(i, k + 1), at(i + 1, k + 1));
      triangles.push(at(i, k), at(i + 1, k + 1), at(i + 1, k));
    }
    triangles.push(at(rows, k), at(rows, k + 1), top);
  }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
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
  const ups = geodesicDirections(2, [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ]);
  for (const [across, rows] of [
    [500, 200],
    [1000, 500],
  ] as const) {
    const mesh = figure(across, rows);
    const facets = mesh.triangles.length / 3;
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
