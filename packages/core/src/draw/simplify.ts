import { boundsOf, type Mesh } from '../mesh/index.ts';

/**
 * A coarser mesh of at most `budget` triangles, for looking at only: it may be open, and thin walls
 * may fall together. A mesh within the budget comes back as it is.
 *
 * Method: vertices are gathered in cubic cells, each cell keeps the point nearest to the planes of
 * its facets (Lindstrom 2000, "Out-of-core simplification of large polygonal models"), and facets
 * that lose a corner vanish. The cell is the smallest, by halving steps, that keeps the budget.
 */
export function simplifyMesh(mesh: Mesh, budget: number): Mesh {
  if (mesh.triangles.length / 3 <= budget) return mesh;
  const box = boundsOf(mesh.positions);
  const size = Math.max(box.max[0] - box.min[0], box.max[1] - box.min[1], box.max[2] - box.min[2]);
  let few = 1;
  let many = 1024;
  while (many - few > Math.max(1, few / 40)) {
    const n = Math.round((few + many) / 2);
    if (kept(mesh, cellsOf(mesh, box.min, size / n, n)) <= budget) few = n;
    else many = n;
  }
  return gather(mesh, cellsOf(mesh, box.min, size / few, few));
}

/** Cell number per vertex, numbered in the order of first use. */
function cellsOf(
  mesh: Mesh,
  min: readonly [number, number, number],
  cell: number,
  n: number,
): Int32Array {
  // prettier-ignore
  const p = mesh.positions;
  const known = new Map<number, number>();
  const out = new Int32Array(p.length / 3);
  for (let v = 0; v < out.length; v++) {
    const i = Math.min(n - 1, Math.floor(((p[3 * v] as number) - min[0]) / cell));
    const j = Math.min(n - 1, Math.floor(((p[3 * v + 1] as number) - min[1]) / cell));
    const k = Math.min(n - 1, Math.floor(((p[3 * v + 2] as number) - min[2]) / cell));
    const key = i + n * (j + n * k);
    let at = known.get(key);
    if (at === undefined) known.set(key, (at = known.size));
    out[v] = at;
  }
  return out;
}

function kept(mesh: Mesh, cells: Int32Array): number {
  const t = mesh.triangles;
  let count = 0;
  for (let f = 0; f < t.length; f += 3) {
    const a = cells[t[f] as number];
    const b = cells[t[f + 1] as number];
    const c = cells[t[f + 2] as number];
    if (a !== b && b !== c && c !== a) count++;
  }
  return count;
}

function gather(mesh: Mesh, cells: Int32Array): Mesh {
  const { positions: p, triangles: t } = mesh;
  const count = cells.reduce((most, c) => Math.max(most, c), -1) + 1;
  const mean = new Float64Array(3 * count);
  const hits = new Float64Array(count);
  for (let v = 0; v < cells.length; v++) {
    const c = cells[v] as number;
    for (let k = 0; k < 3; k++) mean[3 * c + k] = (mean[3 * c + k] as number) + (p[3 * v + k] as number); // prettier-ignore
    hits[c] = (hits[c] as number) + 1;
  }
  for (let c = 0; c < count; c++)
    for (let k = 0; k < 3; k++) mean[3 * c + k] = (mean[3 * c + k] as number) / (hits[c] as number);

  // Per cell the sum over its facets of area^2 n n^T (six numbers) and of area^2 n (n . (q - mean)).
  const sums = new Float64Array(9 * count);
  const triangles: number[] = [];
  const faces = new Set<string>();
  for (let f = 0; f < t.length; f += 3) {
    const [i, j, k] = [3 * (t[f] as number), 3 * (t[f + 1] as number), 3 * (t[f + 2] as number)];
    const ux = (p[j] as number) - (p[i] as number), uy = (p[j + 1] as number) - (p[i + 1] as number), uz = (p[j + 2] as number) - (p[i + 2] as number); // prettier-ignore
    const vx = (p[k] as number) - (p[i] as number), vy = (p[k + 1] as number) - (p[i + 1] as number), vz = (p[k + 2] as number) - (p[i + 2] as number); // prettier-ignore
    const x = uy * vz - uz * vy;
    const y = uz * vx - ux * vz;
    const z = ux * vy - uy * vx;
    const corners = [cells[i / 3] as number, cells[j / 3] as number, cells[k / 3] as number] as const; // prettier-ignore
    for (const c of new Set(corners)) {
      const d =
        x * ((p[i] as number) - (mean[3 * c] as number)) +
        y * ((p[i + 1] as number) - (mean[3 * c + 1] as number)) +
        z * ((p[i + 2] as number) - (mean[3 * c + 2] as number));
      const terms = [x * x, x * y, x * z, y * y, y * z, z * z, x * d, y * d, z * d];
      for (let n = 0; n < 9; n++) sums[9 * c + n] = (sums[9 * c + n] as number) + (terms[n] as number); // prettier-ignore
    }
    const [a, b, c] = corners;
    if (a === b || b === c || c === a) continue;
    const key = [a, b, c].sort((m, n) => m - n).join();
    if (faces.has(key)) continue;
    faces.add(key);
    triangles.push(a, b, c);
  }
  const reach = Math.cbrt(1 / Math.max(1, count));
  const positions = new Float64Array(3 * count);
  const box = boundsOf(p);
  const limit = reach * Math.max(box.max[0] - box.min[0], box.max[1] - box.min[1], box.max[2] - box.min[2]); // prettier-ignore
  for (let c = 0; c < count; c++) {
    const step = solve(sums, 9 * c);
    const l = Math.hypot(...step);
    const s = l > limit ? 0 : 1;
    for (let k = 0; k < 3; k++)
      positions[3 * c + k] = (mean[3 * c + k] as number) + s * (step[k] as number);
  }
  return { positions, triangles: Uint32Array.from(triangles) };
}

/** Step from the mean to the point nearest to the planes; held back along flat directions. */
function solve(s: Float64Array, at: number): [number, number, number] {
  const [xx, xy, xz, yy, yz, zz, dx, dy, dz] = s.subarray(at, at + 9) as unknown as Nine;
  const hold = 1e-3 * (xx + yy + zz);
  if (!(hold > 0)) return [0, 0, 0];
  const a = xx + hold;
  const e = yy + hold;
  const i = zz + hold;
  const c0 = e * i - yz * yz;
  const c1 = xz * yz - xy * i;
  const c2 = xy * yz - xz * e;
  const det = a * c0 + xy * c1 + xz * c2;
  return [
    (c0 * dx + c1 * dy + c2 * dz) / det,
    (c1 * dx + (a * i - xz * xz) * dy + (xy * xz - a * yz) * dz) / det,
    (c2 * dx + (xy * xz - a * yz) * dy + (a * e - xy * xy) * dz) / det,
  ];
}
type Nine = readonly [number, number, number, number, number, number, number, number, number];
