import { boundsOf, type Mesh } from '../mesh/index.ts';

/**
 * A coarser mesh of at most `budget` triangles, for looking at only: it may be open, and thin walls
 * may fall together. A mesh within the budget comes back as it is.
 *
 * Method: vertices are gathered in cubic cells, each cell keeps the point nearest to the planes of
 * its facets (Lindstrom 2000, "Out-of-core simplification of large polygonal models"), and facets
 * that lose a corner vanish. The number of kept facets grows nearly with the square of the cells
 * along a side, which finds the smallest cell within the budget in a few tries.
 */
export function simplifyMesh(mesh: Mesh, budget: number): Mesh {
  if (mesh.triangles.length / 3 <= budget) return mesh;
  const cells = finestWithin(mesh, budget);
  return gather(mesh, cells);
}

/** Cell of each vertex, numbered in the order of first use. */
interface Cells {
  readonly of: Int32Array;
  readonly count: number;
}

const MOST_CELLS = 1024;
const TRIES = 6;

function finestWithin(mesh: Mesh, budget: number): Cells {
  const box = boundsOf(mesh.positions);
  const size = Math.max(box.max[0] - box.min[0], box.max[1] - box.min[1], box.max[2] - box.min[2]);
  const cellsAt = (n: number): Cells => cellsOf(mesh, box.min, size / n, n);
  let few = 1;
  let many = MOST_CELLS + 1;
  let best = cellsAt(1);
  // A closed skin crosses some six n^2 cells' faces of its box: two facets each.
  let n = Math.sqrt(budget / 6);
  for (let i = 0; i < TRIES && many - few > 1; i++) {
    n = Math.max(few + 1, Math.min(many - 1, Math.round(n)));
    const cells = cellsAt(n);
    const facets = kept(mesh, cells);
    if (facets <= budget) [few, best] = [n, cells];
    else many = n;
    if (facets <= budget && facets > 0.94 * budget) break;
    // Aims just below the budget: above it the try is lost.
    n *= Math.sqrt((0.97 * budget) / Math.max(1, facets));
  }
  return best;
}

function cellsOf(mesh: Mesh, min: readonly [number, number, number], cell: number, n: number): Cells {
  const p = mesh.positions;
  const vertices = p.length / 3;
  const out = new Int32Array(vertices);
  let bits = 4;
  while (1 << bits < 2 * vertices) bits++;
  const mask = (1 << bits) - 1;
  const keys = new Int32Array(1 << bits).fill(-1);
  const numbers = new Int32Array(1 << bits);
  const per = 1 / cell;
  const last = n - 1;
  let count = 0;
  for (let v = 0, k = 0; v < vertices; v++, k += 3) {
    const i = Math.min(last, Math.floor(((p[k] as number) - min[0]) * per));
    const j = Math.min(last, Math.floor(((p[k + 1] as number) - min[1]) * per));
    const l = Math.min(last, Math.floor(((p[k + 2] as number) - min[2]) * per));
    const key = i + n * (j + n * l);
    let at = Math.imul(key ^ (key >>> 15), 0x9e3779b1) >>> (32 - bits);
    while (keys[at] !== key && keys[at] !== -1) at = (at + 1) & mask;
    if (keys[at] === -1) {
      keys[at] = key;
      numbers[at] = count++;
    }
    out[v] = numbers[at] as number;
  }
  return { of: out, count };
} // prettier-ignore

function kept(mesh: Mesh, { of }: Cells): number {
  const t = mesh.triangles;
  let count = 0;
  for (let f = 0; f < t.length; f += 3) {
    const a = of[t[f] as number];
    const b = of[t[f + 1] as number];
    const c = of[t[f + 2] as number];
    if (a !== b && b !== c && c !== a) count++;
  }
  return count;
}

function gather(mesh: Mesh, { of, count }: Cells): Mesh {
  const { positions: p, triangles: t } = mesh;
  const mean = new Float64Array(3 * count);
  const hits = new Float64Array(count);
  for (let v = 0; v < of.length; v++) {
    const c = of[v] as number;
    for (let k = 0; k < 3; k++) mean[3 * c + k] = (mean[3 * c + k] as number) + (p[3 * v + k] as number); // prettier-ignore
    hits[c] = (hits[c] as number) + 1;
  }
  for (let c = 0; c < count; c++)
    for (let k = 0; k < 3; k++) mean[3 * c + k] = (mean[3 * c + k] as number) / (hits[c] as number);

  // Per cell the sum over its facets of area^2 n n^T (six numbers) and of area^2 n (n . (q - mean)).
  const sums = new Float64Array(9 * count);
  const triangles = new Uint32Array(t.length);
  const faces = new Faces(t.length / 3);
  let used = 0;
  for (let f = 0; f < t.length; f += 3) {
    const i = 3 * (t[f] as number);
    const j = 3 * (t[f + 1] as number);
    const k = 3 * (t[f + 2] as number);
    const px = p[i] as number, py = p[i + 1] as number, pz = p[i + 2] as number; // prettier-ignore
    const ux = (p[j] as number) - px, uy = (p[j + 1] as number) - py, uz = (p[j + 2] as number) - pz; // prettier-ignore
    const vx = (p[k] as number) - px, vy = (p[k + 1] as number) - py, vz = (p[k + 2] as number) - pz; // prettier-ignore
    const x = uy * vz - uz * vy;
    const y = uz * vx - ux * vz;
    const z = ux * vy - uy * vx;
    const a = of[i / 3] as number;
    const b = of[j / 3] as number;
    const c = of[k / 3] as number;
    for (let corner = 0; corner < 3; corner++) {
      const cell = corner === 0 ? a : corner === 1 ? b : c;
      if ((corner > 0 && cell === a) || (corner === 2 && cell === b)) continue;
      const m = 3 * cell;
      const s = 9 * cell;
      const d = x * (px - (mean[m] as number)) + y * (py - (mean[m + 1] as number)) + z * (pz - (mean[m + 2] as number)); // prettier-ignore
      (sums[s] as number) += x * x;
      (sums[s + 1] as number) += x * y;
      (sums[s + 2] as number) += x * z;
      (sums[s + 3] as number) += y * y;
      (sums[s + 4] as number) += y * z;
      (sums[s + 5] as number) += z * z;
      (sums[s + 6] as number) += x * d;
      (sums[s + 7] as number) += y * d;
      (sums[s + 8] as number) += z * d;
    }
    if (a === b || b === c || c === a || !faces.isNew(a, b, c)) continue;
    triangles[used] = a;
    triangles[used + 1] = b;
    triangles[used + 2] = c;
    used += 3;
  }
  const box = boundsOf(p);
  const limit = Math.cbrt(1 / Math.max(1, count)) * Math.max(box.max[0] - box.min[0], box.max[1] - box.min[1], box.max[2] - box.min[2]); // prettier-ignore
  const positions = new Float64Array(3 * count);
  for (let c = 0; c < count; c++) {
    const step = solve(sums, 9 * c);
    const l = Math.hypot(...step);
    const s = l > limit ? 0 : 1;
    for (let k = 0; k < 3; k++)
      positions[3 * c + k] = (mean[3 * c + k] as number) + s * (step[k] as number);
  }
  return { positions, triangles: triangles.slice(0, used) };
}

/** Which sets of three cells have a facet already. */
class Faces {
  readonly #corners: Int32Array;
  readonly #bits: number;

  constructor(most: number) {
    let bits = 4;
    while (1 << bits < 2 * most) bits++;
    this.#bits = bits;
    this.#corners = new Int32Array(3 << bits).fill(-1);
  }

  isNew(a: number, b: number, c: number): boolean {
    const low = Math.min(a, b, c);
    const high = Math.max(a, b, c);
    const mid = a + b + c - low - high;
    const s = this.#corners;
    const mask = (1 << this.#bits) - 1;
    const mix = Math.imul(low, 0x9e3779b1) ^ Math.imul(mid, 0x85ebca6b) ^ Math.imul(high, 0xc2b2ae35); // prettier-ignore
    for (let at = Math.imul(mix, 0x9e3779b1) >>> (32 - this.#bits); ; at = (at + 1) & mask) {
      if (s[3 * at] === -1) {
        s[3 * at] = low;
        s[3 * at + 1] = mid;
        s[3 * at + 2] = high;
        return true;
      }
      if (s[3 * at] === low && s[3 * at + 1] === mid && s[3 * at + 2] === high) return false;
    }
  }
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
