import { boundsOf, sizeOf, type Mesh } from '../mesh/index.ts';
import { collapseEdges } from './collapse.ts';

/** Meshes of more facets than this, for each that is wanted, are first thinned on a grid. */
const MANY = 100;
/** Cells of that grid along the longest side: fine enough to keep the walls of a part apart. */
const CELLS = 400;

/**
 * A coarser mesh to search on, of at most about `most` facets; a mesh that is small enough comes
 * back as it is. A closed chain stays closed, and all vertices are vertices of the mesh. Nothing is
 * promised from it: every figure of a plan is taken from the mesh itself.
 * Method: edge collapse by quadrics (Garland and Heckbert 1997); very fine meshes are brought down
 * by vertex clustering first (Rossignac and Borrel 1993), which is faster but closes thin walls.
 */
export function thinMesh(mesh: Mesh, most: number): Mesh {
  if (mesh.triangles.length / 3 <= most) return mesh;
  if (mesh.triangles.length / 3 <= MANY * most) return collapseEdges(mesh, most);
  const box = boundsOf(mesh.positions);
  const span = Math.max(...sizeOf(box));
  return collapseEdges(cluster(mesh, box.min, span / CELLS, CELLS + 1), most);
}

/**
 * Vertices of one cell of a grid move together onto the one farthest from the middle, facets that
 * collapse are dropped.
 */
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
