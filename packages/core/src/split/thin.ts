import { boundsOf, type Mesh } from '../mesh/index.ts';

/**
 * A coarser mesh to search on: vertices of one cell of a grid move together onto the one farthest
 * from the middle, facets that collapse are dropped. A closed chain stays closed. The grid grows
 * until at most `most` facets are left; a mesh that is small enough comes back as it is. Nothing
 * is promised from it: every figure of a plan is taken from the mesh itself.
 * Method: vertex clustering (Rossignac and Borrel 1993).
 */
export function thinMesh(mesh: Mesh, most: number): Mesh {
  if (mesh.triangles.length / 3 <= most) return mesh;
  const box = boundsOf(mesh.positions);
  const span = Math.max(...box.max.map((x, i) => x - (box.min[i] as number)));
  // Facets of a surface go with the square of the cells along a side.
  let cells = Math.max(16, Math.round(Math.sqrt(most / 6)));
  for (;;) {
    const thin = cluster(mesh, box.min, span / cells, cells + 1);
    if (thin.triangles.length / 3 <= most || cells <= 16) return thin;
    cells = Math.max(16, Math.floor(cells * 0.8));
  }
}

function cluster(mesh: Mesh, origin: readonly number[], cell: number, cells: number): Mesh {
  const p = mesh.positions;
  const count = p.length / 3;
  const middle = origin.map((o) => o + (cell * cells) / 2);
  const best = new Map<number, number>();
  const cellOf = new Float64Array(count);
  const far = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    let key = 0;
    for (let c = 0; c < 3; c++) {
      const x = p[3 * i + c] as number;
      key = key * cells + Math.min(cells - 1, Math.floor((x - (origin[c] as number)) / cell));
      far[i] = (far[i] as number) + (x - (middle[c] as number)) ** 2;
    }
    cellOf[i] = key;
    const other = best.get(key);
    if (other === undefined || (far[i] as number) > (far[other] as number)) best.set(key, i);
  }
  const renamed = new Map<number, number>();
  const positions = new Float64Array(3 * best.size);
  for (const [key, i] of best) {
    positions.set(p.subarray(3 * i, 3 * i + 3), 3 * renamed.size);
    renamed.set(key, renamed.size);
  }
  const to = Uint32Array.from(cellOf, (key) => renamed.get(key) as number);
  const kept: number[] = [];
  for (let t = 0; t < mesh.triangles.length; t += 3) {
    const a = to[mesh.triangles[t] as number] as number;
    const b = to[mesh.triangles[t + 1] as number] as number;
    const c = to[mesh.triangles[t + 2] as number] as number;
    if (a !== b && b !== c && c !== a) kept.push(a, b, c);
  }
  return { positions, triangles: Uint32Array.from(kept) };
}
