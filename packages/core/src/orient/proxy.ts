import { boundsOf, sizeOf, type Mesh } from '../mesh/index.ts';

export interface Proxy {
  readonly mesh: Mesh;
  /** The facet of the given mesh that each facet comes from; null: the mesh is the given one. */
  readonly from: Uint32Array | null;
}

/**
 * A coarse twin of a mesh with about `target` facets, to rank many directions quickly: the
 * vertices of each cell of a cubic grid become one, in their mean place, and facets that lose a
 * corner go. A thin wall may become a sheet with two sides, never a hole. A mesh that is small
 * enough comes back as it is. O(facets).
 */
export function proxyOf(mesh: Mesh, areaMm2: number, target: number): Proxy {
  const facets = mesh.triangles.length / 3;
  const same = { mesh, from: null };
  if (facets <= target) return same;
  // A flat sheet of area A cut into cells of side s keeps about 2 A / s2 facets.
  let cell = Math.sqrt((2 * areaMm2) / target);
  if (!(cell > 0)) return same;
  for (let round = 0; ; round++) {
    const twin = cluster(mesh, cell);
    const left = twin.from.length;
    if (left <= 1.3 * target || round === 3) return twin;
    cell *= Math.sqrt(left / target);
  }
}

function cluster(mesh: Mesh, cell: number): { mesh: Mesh; from: Uint32Array } {
  const { positions: p, triangles: t } = mesh;
  const box = boundsOf(p);
  const [w, d, h] = sizeOf(box);
  const nx = Math.floor(w / cell) + 1;
  const ny = Math.floor(d / cell) + 1;
  const nz = Math.floor(h / cell) + 1;
  const names = new Map<number, number>();
  const vertices = p.length / 3;
  const home = new Uint32Array(vertices);
  const sums: number[] = [];
  const counts: number[] = [];
  for (let i = 0; i < vertices; i++) {
    const x = p[3 * i] as number;
    const y = p[3 * i + 1] as number;
    const z = p[3 * i + 2] as number;
    const ix = Math.min(nx - 1, Math.floor((x - box.min[0]) / cell));
    const iy = Math.min(ny - 1, Math.floor((y - box.min[1]) / cell));
    const iz = Math.min(nz - 1, Math.floor((z - box.min[2]) / cell));
    const key = ix + nx * (iy + ny * iz);
    let id = names.get(key);
    if (id === undefined) {
      id = counts.length;
      names.set(key, id);
      counts.push(0);
      sums.push(0, 0, 0);
    }
    home[i] = id;
    (counts[id] as number)++;
    (sums[3 * id] as number) += x;
    (sums[3 * id + 1] as number) += y;
    (sums[3 * id + 2] as number) += z;
  }
  const positions = Float64Array.from(sums, (s, i) => s / (counts[Math.floor(i / 3)] as number));
  const triangles = new Uint32Array(t.length);
  const from = new Uint32Array(t.length / 3);
  let n = 0;
  for (let f = 0; f < t.length; f += 3) {
    const a = home[t[f] as number] as number;
    const b = home[t[f + 1] as number] as number;
    const c = home[t[f + 2] as number] as number;
    if (a === b || b === c || c === a) continue;
    from[n / 3] = f / 3;
    triangles[n] = a;
    triangles[n + 1] = b;
    triangles[n + 2] = c;
    n += 3;
  }
  return { mesh: { positions, triangles: triangles.slice(0, n) }, from: from.slice(0, n / 3) };
}
