import type { Mat3, Vec3 } from '../math/index.ts';
import { cross, distance, dot, length, multiplyMat3, pointAt, rotate, scale, sub, transpose, unit } from '../math/index.ts'; // prettier-ignore
import { massProperties, type Mesh } from '../mesh/index.ts';

export interface Likeness {
  /** copy: the same body turned and moved; twin: its mirror image and not a copy. */
  readonly kind: 'copy' | 'twin';
  /** b = turn * a + moveMm; determinant -1 for a twin. */
  readonly turn: Mat3;
  readonly moveMm: Vec3;
  /** Largest distance of matching vertices, mm. */
  readonly errorMm: number;
}

/** What two equal bodies must share, whatever their turn. */
interface Signature {
  readonly vertices: number;
  readonly triangles: number;
  readonly invariants: readonly number[];
}

/** Relative to the diameter: files in 32-bit floats round turned copies to about 1e-7 of their place. */
const TOLERANCE = 2e-6;
const MAX_TRIES = 4000;

export interface Body {
  readonly mesh: Mesh;
  readonly signature: Signature;
  /** Vertices about their mean. */
  readonly points: Float64Array;
  readonly mean: Vec3;
  readonly radii: Float64Array;
  readonly toleranceMm: number;
}

/** Prepares a mesh for comparing: counts, area, volume, spread and skew of its vertices. */
export function bodyOf(mesh: Mesh): Body {
  const n = mesh.positions.length / 3;
  let mean: Vec3 = [0, 0, 0];
  for (let i = 0; i < n; i++) {
    const p = pointAt(mesh.positions, i);
    mean = [mean[0] + p[0] / n, mean[1] + p[1] / n, mean[2] + p[2] / n];
  }
  const points = new Float64Array(3 * n);
  const radii = new Float64Array(n);
  let [second, fourth, most] = [0, 0, 0];
  for (let i = 0; i < n; i++) {
    const q = sub(pointAt(mesh.positions, i), mean);
    points.set(q, 3 * i);
    const r = length(q);
    radii[i] = r;
    second += (r * r) / n;
    fourth += r ** 4 / n;
    most = Math.max(most, r);
  }
  const { volumeMm3, areaMm2 } = massProperties(mesh);
  const far = mesh.positions.reduce((m, x) => Math.max(m, Math.abs(x)), 0);
  return {
    mesh,
    points,
    mean,
    radii,
    signature: {
      vertices: n,
      triangles: mesh.triangles.length / 3,
      invariants: [most, Math.sqrt(second), Math.pow(fourth, 0.25), Math.sqrt(areaMm2), Math.cbrt(Math.abs(volumeMm3))], // prettier-ignore
    },
    // Half an ulp of a 32-bit float at the file's own coordinates, and the turn's own rounding.
    toleranceMm: 2 * most * TOLERANCE + far * 2.5e-7,
  };
}

/**
 * Whether two bodies are the same or mirror images. Cheap invariants first, then an exact match:
 * two vertices of `a` in rare positions are brought onto every pair of `b` at the same radii and the
 * same distance, and all vertices must meet. Different triangulations of one body do not match.
 */
export function likeness(a: Body, b: Body): Likeness | null {
  const [s, t] = [a.signature, b.signature];
  if (s.vertices !== t.vertices || s.triangles !== t.triangles || s.vertices < 4) return null;
  const close = Math.max(a.toleranceMm, b.toleranceMm);
  if (s.invariants.some((x, i) => Math.abs(x - (t.invariants[i] as number)) > 20 * close + 1e-5 * x)) return null; // prettier-ignore
  return match(a, b, close, false) ?? match(a, b, close, true);
}

function match(a: Body, b: Body, tolerance: number, mirror: boolean): Likeness | null {
  const points = mirror ? a.points.map((x, i) => (i % 3 === 0 ? -x : x)) : a.points;
  const cells = new Cells(b.points, tolerance);
  const classes = byRarity(a.radii, tolerance);
  const anchors = classes.flat();
  const i = anchors.find((k) => (a.radii[k] as number) > 10 * tolerance);
  if (i === undefined) return null;
  const p = pointAt(points, i);
  const j = anchors.find((k) => length(cross(p, pointAt(points, k))) > 1e-3 * length(p) * Math.max(...a.signature.invariants.slice(0, 1))); // prettier-ignore
  if (j === undefined) return null;
  const q = pointAt(points, j);
  const d = distance(p, q);
  const from = frame(p, q);
  const at = (r: number): number[] => {
    const out: number[] = [];
    b.radii.forEach((x, k) => Math.abs(x - r) <= 2 * tolerance && out.push(k));
    return out;
  };
  const us = at(length(p));
  const vs = at(length(q));
  let tries = 0;
  for (const u of us)
    for (const v of vs) {
      const [x, y] = [pointAt(b.points, u), pointAt(b.points, v)];
      if (Math.abs(distance(x, y) - d) > 4 * tolerance) continue;
      const to = frame(x, y);
      if (!from || !to || tries++ > MAX_TRIES) continue;
      const turn = multiplyMat3(to, transpose(from));
      const error = cells.worst(points, turn);
      if (error === null) continue;
      const whole: Mat3 = mirror ? multiplyMat3(turn, [-1, 0, 0, 0, 1, 0, 0, 0, 1]) : turn;
      return {
        kind: mirror ? 'twin' : 'copy',
        turn: whole,
        moveMm: sub(b.mean, rotate(whole, a.mean)),
        errorMm: error,
      };
    }
  return null;
}

/** Right-handed frame as columns: along p, then towards q. */
function frame(p: Vec3, q: Vec3): Mat3 | null {
  const x = unit(p);
  const y = x && unit(sub(q, scale(x, dot(q, x))));
  if (!x || !y) return null;
  const z = cross(x, y);
  return [x[0], y[0], z[0], x[1], y[1], z[1], x[2], y[2], z[2]];
}

/** Vertices grouped by their distance from the mean, the smallest groups first. */
function byRarity(radii: Float64Array, tolerance: number): number[][] {
  const order = Array.from(radii, (_, i) => i).sort((i, j) => (radii[i] as number) - (radii[j] as number)); // prettier-ignore
  const groups: number[][] = [];
  let last = -Infinity;
  for (const i of order) {
    const r = radii[i] as number;
    if (r - last > 2 * tolerance) groups.push([]);
    groups[groups.length - 1]?.push(i);
    last = r;
  }
  return groups.sort((g, h) => g.length - h.length || (radii[h[0] as number] as number) - (radii[g[0] as number] as number)); // prettier-ignore
}

/** Points in cubes, to find the one near a place. */
class Cells {
  private readonly cells = new Map<string, number[]>();
  private readonly points: Float64Array;
  private readonly reach: number;

  constructor(points: Float64Array, tolerance: number) {
    this.points = points;
    this.reach = 4 * tolerance;
    for (let i = 0; i < points.length / 3; i++) {
      const key = this.key(...(pointAt(points, i) as [number, number, number]));
      const cell = this.cells.get(key);
      if (cell) cell.push(i);
      else this.cells.set(key, [i]);
    }
  }

  private key(x: number, y: number, z: number): string {
    const c = (v: number): number => Math.floor(v / (8 * this.reach));
    return `${c(x)},${c(y)},${c(z)}`;
  }

  /** Largest distance of a turned point to its own partner, or null when one has none. */
  worst(points: Float64Array, turn: Mat3): number | null {
    let worst = 0;
    const taken = new Uint8Array(this.points.length / 3);
    const r = this.reach;
    for (let i = 0; i < points.length / 3; i++) {
      const p = rotate(turn, pointAt(points, i));
      let best = -1;
      let least = r;
      const seen = new Set<string>();
      for (let c = 0; c < 8; c++) {
        const key = this.key(p[0] + (c & 1 ? r : -r), p[1] + (c & 2 ? r : -r), p[2] + (c & 4 ? r : -r)); // prettier-ignore
        if (seen.has(key)) continue;
        seen.add(key);
        for (const k of this.cells.get(key) ?? []) {
          const d = taken[k] === 1 ? Infinity : distance(p, pointAt(this.points, k));
          if (d <= least) [best, least] = [k, d];
        }
      }
      if (best < 0) return null;
      taken[best] = 1;
      worst = Math.max(worst, least);
    }
    return worst;
  }
}

const SIDES: readonly (readonly [string, string])[] = [
  ['left', 'right'],
  ['links', 'rechts'],
  ['gauche', 'droite'],
  ['izquierda', 'derecha'],
];

/** The name of the other side's file, or null for a name without a side. Case is kept as it was. */
export function otherSide(file: string): string | null {
  for (const pair of SIDES)
    for (const [a, b] of [pair, [pair[1], pair[0]] as const]) {
      const found = new RegExp(`(^|[^a-z])(${a})(?=$|[^a-z])`, 'i').exec(file);
      if (!found) continue;
      const word = found[2] as string;
      const other = word === word.toUpperCase() ? b.toUpperCase() : /^[A-Z]/.test(word) ? b[0]?.toUpperCase() + b.slice(1) : b; // prettier-ignore
      const at = found.index + (found[1] as string).length;
      return file.slice(0, at) + other + file.slice(at + word.length);
    }
  return null;
}
