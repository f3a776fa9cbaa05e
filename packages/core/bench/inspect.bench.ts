import { BufferAttribute, BufferGeometry } from 'three';
import { inspectPart, shellRoles, topologyOf } from '../src/inspect/index.ts';
import {
  edgeNeighbours,
  massProperties,
  planeSection,
  sectionFigures,
  shells,
  torusMesh,
} from '../src/mesh/index.ts';
import { quatToMatrix, normalizeQuat } from '../src/math/index.ts';
import { transformMesh } from '../src/mesh/index.ts';
import { loadKernel } from '../src/solid/index.ts';

export const name =
  "inspect: adjacency, measures, health and sections, against manifold-3d's build of the same mesh";

const RUNS = 5;

export async function run(): Promise<void> {
  const kernel = await loadKernel();
  const turn = quatToMatrix(normalizeQuat([0.1, 0.2, 0.3, 0.9]));
  for (const [nu, nv] of [
    [500, 200],
    [2000, 500],
  ] as const) {
    const mesh = transformMesh(torusMesh(50, 20, nu, nv), turn);
    const facets = mesh.triangles.length / 3;
    let theirs = 0;
    const build = best(1, () => {
      theirs = kernel.scope((s) => s.volume(s.meshToSolid(mesh)));
    });
    const rows: [string, number][] = [
      ['edgeNeighbours', best(RUNS, () => edgeNeighbours(mesh))],
      ['shells, with neighbours', best(RUNS, () => shells(mesh))],
      ['massProperties', best(RUNS, () => massProperties(mesh))],
      ['shell roles', best(RUNS, () => shellRoles(topologyOf(mesh)))],
      ['inspectPart, all of it', best(RUNS, () => inspectPart(mesh))],
      ['one section', best(RUNS, () => planeSection(mesh, { normal: [0, 0, 1], offsetMm: 1 }))],
      ['areas of 500 sections', best(RUNS, () =>
        sectionFigures(mesh, [0, 0, 1], Float64Array.from({ length: 500 }, (_, i) => (i - 250) / 5)))],
      ["three's computeVertexNormals", best(RUNS, () => normals(mesh.positions, mesh.triangles))],
    ]; // prettier-ignore
    console.log(`${facets} facets: kernel build and volume ${build.toFixed(0)} ms`);
    for (const [what, ms] of rows)
      console.log(`  ${what.padEnd(30)} ${ms.toFixed(1).padStart(8)} ms  ${(build / ms).toFixed(1).padStart(7)} x faster`); // prettier-ignore
    const ours = massProperties(mesh).volumeMm3;
    console.log(`  volumes agree to ${Math.abs(ours / theirs - 1).toExponential(1)}`);
  }
}

/** One pass of a well-known library over the same arrays, to judge the machine by. */
function normals(positions: Float64Array, triangles: Uint32Array): void {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(Float32Array.from(positions), 3));
  geometry.setIndex(new BufferAttribute(triangles, 1));
  geometry.computeVertexNormals();
}

function best(runs: number, work: () => unknown): number {
  let least = Infinity;
  for (let i = 0; i < runs; i++) {
    const start = performance.now();
    work();
    least = Math.min(least, performance.now() - start);
  }
  return least;
}
