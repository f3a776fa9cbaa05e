import { boundsOf, edgeNeighbours, OPEN, sizeOf, type Mesh } from '../mesh/index.ts';
import { extremePlaces } from './frames.ts';

/** Error at which the passes start, as a share of the size of the part to the fourth, and growth. */
const FIRST = 1e-16;
const GROWTH = 4;
const PASSES = 40;
/** A facet may turn by up to about 78 degrees when a corner of it moves. */
const LEAST_COSINE = 0.2;
/** Vertices that reach farthest, at most. */
const FARTHEST = 400;

/**
 * Edges are drawn together into one of their ends, those first at which the surface changes least,
 * until at most `most` facets are left. Open borders are held in place, and the vertices that reach
 * farthest stay: whether a part fits depends on them. In passes of growing error and not in strict
 * order, which is as good here and needs no queue.
 * Method: quadrics of facet planes, weighted by area (Garland and Heckbert, Surface simplification
 * using quadric error metrics, SIGGRAPH 1997), ends kept.
 */
export function collapseEdges(given: Mesh, most: number): Mesh {
  const mesh = inOrder(given);
  const work = new Collapse(mesh);
  const size = Math.hypot(...sizeOf(boundsOf(mesh.positions)));
  let limit = FIRST * size ** 4;
  for (let pass = 0; pass < PASSES && work.facets > most; pass++, limit *= GROWTH)
    work.pass(limit, most);
  return work.mesh();
}

/** Coordinates are compared in this share of the part's size. */
const SAME = 1e-6;

/**
 * Vertices and facets in the order of their place, whatever order they came in: the same body, or
 * its mirror image turned over, is thinned to the same.
 */
function inOrder({ positions: p, triangles: t }: Mesh): Mesh {
  const n = p.length / 3;
  const box = boundsOf(p);
  const step = SAME * Math.max(...sizeOf(box)) || 1;
  const low = box.min.map((x) => x - step);
  const grid = p.map((x, i) => Math.round((x - (low[i % 3] as number)) / step));
  const order = orderBy(
    Float64Array.from({ length: n }, (_, i) => grid[3 * i] as number),
    (i, j) =>
      (grid[3 * i + 1] as number) - (grid[3 * j + 1] as number) ||
      (grid[3 * i + 2] as number) - (grid[3 * j + 2] as number),
  );
  const placeOf = new Uint32Array(n);
  const positions = new Float64Array(3 * n);
  order.forEach((i, at) => {
    placeOf[i] = at;
    for (let c = 0; c < 3; c++) positions[3 * at + c] = p[3 * i + c] as number;
  });
  // Facets begin with their lowest vertex, and are ordered by it and the next.
  const turned = Uint32Array.from(t, (v) => placeOf[v] as number);
  const facets = t.length / 3;
  for (let f = 0; f < facets; f++) {
    const i = 3 * f;
    const a = turned[i] as number, b = turned[i + 1] as number, c = turned[i + 2] as number; // prettier-ignore
    const by = b < a && b < c ? 1 : c < a ? 2 : 0;
    turned[i] = by === 0 ? a : by === 1 ? b : c;
    turned[i + 1] = by === 0 ? b : by === 1 ? c : a;
    turned[i + 2] = by === 0 ? c : by === 1 ? a : b;
  }
  const list = orderBy(
    Float64Array.from({ length: facets }, (_, f) => turned[3 * f] as number),
    (f, g) => (turned[3 * f + 1] as number) - (turned[3 * g + 1] as number),
  );
  const triangles = new Uint32Array(t.length);
  list.forEach((f, at) => {
    for (let c = 0; c < 3; c++) triangles[3 * at + c] = turned[3 * f + c] as number;
  });
  return { positions, triangles };
}

/** Runs up to this are sorted by insertion. */
const SHORT = 12;

/** Indices in the order of whole numbers >= 0, equal ones as `tie` says. */
function orderBy(first: Float64Array, tie: (i: number, j: number) => number): Uint32Array {
  const n = first.length;
  // The index rides along in the number, for numbers are sorted much faster than by comparing.
  const packed = first.map((x, i) => x * n + i).sort();
  const order = Uint32Array.from(packed, (x) => x % n);
  for (let i = 0; i < n;) {
    const value = first[order[i] as number];
    let end = i + 1;
    while (end < n && first[order[end] as number] === value) end++;
    if (end - i > SHORT) order.subarray(i, end).sort(tie);
    else
      for (let k = i + 1; k < end; k++) {
        const at = order[k] as number;
        let to = k;
        for (; to > i && tie(order[to - 1] as number, at) > 0; to--) order[to] = order[to - 1] as number; // prettier-ignore
        order[to] = at;
      }
    i = end;
  }
  return order;
}

class Collapse {
  /** Facets left. */
  facets: number;
  private readonly positions: Float64Array;
  /** The same about the middle of the part: quadrics lose less to rounding. */
  private readonly p: Float64Array;
  private readonly t: Uint32Array;
  private live: Uint32Array;
  private readonly dead: Uint8Array;
  /** Vertices that stay. */
  private readonly fixed: Uint8Array;
  /** Ten sums per vertex: the symmetric 4 x 4 matrix of its planes. */
  private readonly q: Float64Array;
  /** Corners of a vertex as a chain; -1 ends it. */
  private readonly first: Int32Array;
  private readonly last: Int32Array;
  private readonly next: Int32Array;

  constructor(mesh: Mesh) {
    const n = mesh.positions.length / 3;
    const box = boundsOf(mesh.positions);
    const middle = box.min.map((x, i) => (x + (box.max[i] as number)) / 2);
    this.positions = mesh.positions;
    this.p = mesh.positions.map((x, i) => x - (middle[i % 3] as number));
    this.t = Uint32Array.from(mesh.triangles);
    this.facets = this.t.length / 3;
    this.live = Uint32Array.from({ length: this.facets }, (_, f) => f);
    this.dead = new Uint8Array(this.facets);
    this.fixed = new Uint8Array(n);
    for (const i of extremePlaces(mesh.positions, FARTHEST)) this.fixed[i / 3] = 1;
    this.q = new Float64Array(10 * n);
    this.first = new Int32Array(n).fill(-1);
    this.last = new Int32Array(n).fill(-1);
    this.next = new Int32Array(this.t.length).fill(-1);
    for (let c = 0; c < this.t.length; c++) this.chain(c, this.t[c] as number);
    const neighbours = edgeNeighbours(mesh);
    for (let f = 0; f < this.facets; f++) this.addPlanes(f, neighbours);
  }

  private chain(c: number, v: number): void {
    const tail = this.last[v] as number;
    if (tail < 0) this.first[v] = c;
    else this.next[tail] = c;
    this.last[v] = c;
  }

  private addPlanes(f: number, neighbours: Int32Array): void {
    const { p, t } = this;
    const corners = [t[3 * f] as number, t[3 * f + 1] as number, t[3 * f + 2] as number];
    const [a, b, c] = corners.map((v) => 3 * v) as [number, number, number];
    const ux = (p[b] as number) - (p[a] as number), uy = (p[b + 1] as number) - (p[a + 1] as number), uz = (p[b + 2] as number) - (p[a + 2] as number); // prettier-ignore
    const vx = (p[c] as number) - (p[a] as number), vy = (p[c + 1] as number) - (p[a + 1] as number), vz = (p[c + 2] as number) - (p[a + 2] as number); // prettier-ignore
    const x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx; // prettier-ignore
    const twice = Math.sqrt(x * x + y * y + z * z);
    if (!(twice > 0)) return;
    for (const v of corners) this.addPlane(v, x / twice, y / twice, z / twice, a, twice / 2);
    for (let e = 0; e < 3; e++) {
      if (neighbours[3 * f + e] !== OPEN) continue;
      // A border is held by a plane through it, square to its facet.
      const i = corners[e] as number;
      const j = corners[(e + 1) % 3] as number;
      const ex = (p[3 * j] as number) - (p[3 * i] as number), ey = (p[3 * j + 1] as number) - (p[3 * i + 1] as number), ez = (p[3 * j + 2] as number) - (p[3 * i + 2] as number); // prettier-ignore
      const sx = ey * z - ez * y, sy = ez * x - ex * z, sz = ex * y - ey * x; // prettier-ignore
      const s = Math.sqrt(sx * sx + sy * sy + sz * sz);
      if (!(s > 0)) continue;
      const weight = ex * ex + ey * ey + ez * ez;
      for (const v of [i, j]) this.addPlane(v, sx / s, sy / s, sz / s, 3 * i, weight);
    }
  }

  /** Adds the plane of normal (x, y, z) through the point at `at` to a vertex. */
  private addPlane(v: number, x: number, y: number, z: number, at: number, weight: number): void {
    const { p, q } = this;
    const d = -(x * (p[at] as number) + y * (p[at + 1] as number) + z * (p[at + 2] as number));
    const i = 10 * v;
    const [wx, wy, wz, wd] = [weight * x, weight * y, weight * z, weight * d];
    q[i] = (q[i] as number) + wx * x;
    q[i + 1] = (q[i + 1] as number) + wx * y;
    q[i + 2] = (q[i + 2] as number) + wx * z;
    q[i + 3] = (q[i + 3] as number) + wx * d;
    q[i + 4] = (q[i + 4] as number) + wy * y;
    q[i + 5] = (q[i + 5] as number) + wy * z;
    q[i + 6] = (q[i + 6] as number) + wy * d;
    q[i + 7] = (q[i + 7] as number) + wz * z;
    q[i + 8] = (q[i + 8] as number) + wz * d;
    q[i + 9] = (q[i + 9] as number) + wd * d;
  }

  /** Error of both ends' planes with vertex `at` in their place. */
  private error(u: number, v: number, at: number): number {
    return this.errorOf(u, at) + this.errorOf(v, at);
  }

  private errorOf(v: number, at: number): number {
    const { p, q } = this;
    const x = p[3 * at] as number, y = p[3 * at + 1] as number, z = p[3 * at + 2] as number; // prettier-ignore
    const i = 10 * v;
    return (
      x * ((q[i] as number) * x + 2 * ((q[i + 1] as number) * y + (q[i + 2] as number) * z + (q[i + 3] as number))) +
      y * ((q[i + 4] as number) * y + 2 * ((q[i + 5] as number) * z + (q[i + 6] as number))) +
      z * ((q[i + 7] as number) * z + 2 * (q[i + 8] as number)) +
      (q[i + 9] as number)
    ); // prettier-ignore
  }

  pass(limit: number, most: number): void {
    const { t, live } = this;
    for (const f of live) {
      for (let e = 0; e < 3 && !this.dead[f]; e++) {
        const u = t[3 * f + e] as number;
        const v = t[3 * f + ((e + 1) % 3)] as number;
        if (u > v) continue;
        const toV = this.fixed[u] ? Infinity : this.error(u, v, v);
        const toU = this.fixed[v] ? Infinity : this.error(u, v, u);
        if (Math.min(toU, toV) > limit) continue;
        if (toV <= toU ? this.turnsOver(u, v) : this.turnsOver(v, u)) continue;
        if (toV <= toU) this.merge(u, v);
        else this.merge(v, u);
        if (this.facets <= most) return;
      }
    }
    this.live = live.filter((f) => !this.dead[f]);
  }

  /** Whether a facet would turn over, or nearly, if vertex u moved onto v. */
  private turnsOver(u: number, v: number): boolean {
    const { p, t } = this;
    for (let c = this.first[u] as number; c >= 0; c = this.next[c] as number) {
      const f = Math.floor(c / 3);
      if (this.dead[f]) continue;
      const a = t[3 * f + ((c + 1) % 3)] as number;
      const b = t[3 * f + ((c + 2) % 3)] as number;
      if (a === v || b === v) continue;
      const ax = p[3 * a] as number, ay = p[3 * a + 1] as number, az = p[3 * a + 2] as number; // prettier-ignore
      const ex = (p[3 * b] as number) - ax, ey = (p[3 * b + 1] as number) - ay, ez = (p[3 * b + 2] as number) - az; // prettier-ignore
      const ux = (p[3 * u] as number) - ax, uy = (p[3 * u + 1] as number) - ay, uz = (p[3 * u + 2] as number) - az; // prettier-ignore
      const vx = (p[3 * v] as number) - ax, vy = (p[3 * v + 1] as number) - ay, vz = (p[3 * v + 2] as number) - az; // prettier-ignore
      const kx = ey * uz - ez * uy, ky = ez * ux - ex * uz, kz = ex * uy - ey * ux; // prettier-ignore
      const lx = ey * vz - ez * vy, ly = ez * vx - ex * vz, lz = ex * vy - ey * vx; // prettier-ignore
      const both = Math.sqrt((kx * kx + ky * ky + kz * kz) * (lx * lx + ly * ly + lz * lz));
      if (kx * lx + ky * ly + kz * lz < LEAST_COSINE * both) return true;
    }
    return false;
  }

  /** Puts v in the place of u everywhere; facets that have both go. */
  private merge(u: number, v: number): void {
    const { t, q } = this;
    for (let c = this.first[u] as number; c >= 0;) {
      const after = this.next[c] as number;
      const f = Math.floor(c / 3);
      if (!this.dead[f]) {
        if (t[3 * f] === v || t[3 * f + 1] === v || t[3 * f + 2] === v) {
          this.dead[f] = 1;
          this.facets--;
        } else {
          t[c] = v;
          this.next[c] = -1;
          this.chain(c, v);
        }
      }
      c = after;
    }
    this.first[u] = -1;
    for (let k = 0; k < 10; k++) q[10 * v + k] = (q[10 * v + k] as number) + (q[10 * u + k] as number); // prettier-ignore
  }

  mesh(): Mesh {
    const renamed = new Int32Array(this.p.length / 3).fill(-1);
    const positions: number[] = [];
    const triangles: number[] = [];
    for (const f of this.live) {
      if (this.dead[f]) continue;
      for (let c = 3 * f; c < 3 * f + 3; c++) {
        const v = this.t[c] as number;
        if ((renamed[v] as number) < 0) {
          renamed[v] = positions.length / 3;
          for (let k = 0; k < 3; k++) positions.push(this.positions[3 * v + k] as number);
        }
        triangles.push(renamed[v] as number);
      }
    }
    return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
  }
}
