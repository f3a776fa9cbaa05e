import { orient3d } from 'robust-predicates';
import { sizeOf, type Box3 } from '../mesh/index.ts';
import type { Hull } from './types.ts';

/** Positive when point p lies on the outer side of a, b, c taken counter-clockwise; exact sign. */
export function side(xyz: Float64Array, a: number, b: number, c: number, p: number): number {
  return -orient3d(
    xyz[3 * a] as number, xyz[3 * a + 1] as number, xyz[3 * a + 2] as number,
    xyz[3 * b] as number, xyz[3 * b + 1] as number, xyz[3 * b + 2] as number,
    xyz[3 * c] as number, xyz[3 * c + 1] as number, xyz[3 * c + 2] as number,
    xyz[3 * p] as number, xyz[3 * p + 1] as number, xyz[3 * p + 2] as number,
  ); // prettier-ignore
}

/** Numbers kept per face: normal x, y, z (not of unit length), a corner, and a test's error. */
const PLANE = 7;

/**
 * Everything about the growing hull. Face f: corners v[3f..], neighbour nb[3f+i] over edge i, plane
 * [PLANE * f..]. Slots of faces that went are used again, so that memory stays near the cache.
 */
export class HullBuilder {
  v = new Int32Array(0);
  nb = new Int32Array(0);
  alive = new Uint8Array(0);
  private plane = new Float64Array(0);
  /** First point known to lie outside the face, -1 for none; `next` chains them. */
  private head = new Int32Array(0);
  /** Slots in use or free again; see `alive`. */
  faces = 0;
  private readonly free: number[] = [];
  private readonly next: Int32Array;
  private readonly coneAt: Int32Array;
  /** Sum of the sides of the box around all points. */
  readonly diameter: number;
  /** Largest |x|, |y| or |z| of all points. */
  private readonly reach: number;
  private readonly todo: number[] = [];
  // Lists of one insertion, kept to spare their making.
  private readonly visible: number[] = [];
  private readonly rim: number[] = [];
  private readonly made: number[] = [];

  constructor(
    readonly xyz: Float64Array,
    box: Box3,
    [a, b, c, d]: readonly [number, number, number, number],
  ) {
    const n = xyz.length / 3;
    this.next = new Int32Array(n).fill(-1);
    this.coneAt = new Int32Array(n).fill(-1);
    this.diameter = sizeOf(box).reduce((sum, side) => sum + side, 0);
    this.reach = Math.max(...box.min.map(Math.abs), ...box.max.map(Math.abs));
    this.grow(256);
    // Wind the first face so that d is behind it.
    const [p, q, r] = side(xyz, a, b, c, d) < 0 ? [a, b, c] : [a, c, b];
    this.addFace(p, q, r);
    this.addFace(q, p, d);
    this.addFace(r, q, d);
    this.addFace(p, r, d);
    this.nb.set([1, 2, 3, 0, 3, 2, 0, 1, 3, 0, 2, 1]);
  }

  private grow(capacity: number): void {
    const copy = <T extends Int32Array | Float64Array | Uint8Array>(from: T, to: T): T => {
      to.set(from);
      return to;
    };
    this.v = copy(this.v, new Int32Array(3 * capacity));
    this.nb = copy(this.nb, new Int32Array(3 * capacity));
    this.plane = copy(this.plane, new Float64Array(PLANE * capacity));
    this.alive = copy(this.alive, new Uint8Array(capacity));
    this.head = copy(this.head, new Int32Array(capacity));
  }

  private addFace(a: number, b: number, c: number): number {
    const { xyz } = this;
    const f = this.free.pop() ?? this.faces++;
    if (f >= this.alive.length) this.grow(2 * this.alive.length);
    const ax = xyz[3 * a] as number, ay = xyz[3 * a + 1] as number, az = xyz[3 * a + 2] as number; // prettier-ignore
    const ux = (xyz[3 * b] as number) - ax, uy = (xyz[3 * b + 1] as number) - ay, uz = (xyz[3 * b + 2] as number) - az; // prettier-ignore
    const vx = (xyz[3 * c] as number) - ax, vy = (xyz[3 * c + 1] as number) - ay, vz = (xyz[3 * c + 2] as number) - az; // prettier-ignore
    const size =
      (Math.abs(ux) + Math.abs(uy) + Math.abs(uz)) * (Math.abs(vx) + Math.abs(vy) + Math.abs(vz));
    const { v, plane } = this;
    v[3 * f] = a;
    v[3 * f + 1] = b;
    v[3 * f + 2] = c;
    const o = PLANE * f;
    plane[o] = uy * vz - uz * vy;
    plane[o + 1] = uz * vx - ux * vz;
    plane[o + 2] = ux * vy - uy * vx;
    plane[o + 3] = ax;
    plane[o + 4] = ay;
    plane[o + 5] = az;
    // Box3 the rounding of n.(p - a): at most 16 units in the last place of the product of three
    // 1-norms, of which `diameter` bounds the third.
    plane[o + 6] = 2e-15 * size * this.diameter;
    this.head[f] = -1;
    this.alive[f] = 1;
    return f;
  }

  /** Whether p lies strictly outside face f. */
  sees(f: number, p: number): boolean {
    const d = this.height(f, p);
    const slack = this.plane[PLANE * f + 6] as number;
    if (d > slack) return true;
    if (d < -slack) return false;
    const { v } = this;
    return (
      side(this.xyz, v[3 * f] as number, v[3 * f + 1] as number, v[3 * f + 2] as number, p) > 0
    );
  }

  height(f: number, p: number): number {
    const { xyz, plane } = this;
    const o = PLANE * f;
    return (
      (plane[o] as number) * ((xyz[3 * p] as number) - (plane[o + 3] as number)) +
      (plane[o + 1] as number) * ((xyz[3 * p + 1] as number) - (plane[o + 4] as number)) +
      (plane[o + 2] as number) * ((xyz[3 * p + 2] as number) - (plane[o + 5] as number))
    );
  }

  /** Adds p if it lies outside, looking at every face; for the first few points only. */
  insertAnywhere(p: number): void {
    for (let f = 0; f < this.faces; f++)
      if (this.alive[f] && this.sees(f, p)) {
        this.insert(p, f);
        return;
      }
  }

  /** Faces now on the hull. */
  faceList(): number[] {
    const list: number[] = [];
    for (let f = 0; f < this.faces; f++) if (this.alive[f]) list.push(f);
    return list;
  }

  /** Gives each of the points that is outside to one face that it sees. */
  assignAll(points: Int32Array): void {
    const { xyz, plane } = this;
    const faces = this.faceList();
    // Most points are inside: a plain pass over flat numbers drops those beyond doubt.
    const flat = new Float64Array(4 * faces.length);
    const far = this.reach + this.diameter;
    for (let k = 0; k < faces.length; k++) {
      const o = PLANE * (faces[k] as number);
      const nx = plane[o] as number, ny = plane[o + 1] as number, nz = plane[o + 2] as number; // prettier-ignore
      const offset = nx * (plane[o + 3] as number) + ny * (plane[o + 4] as number) + nz * (plane[o + 5] as number); // prettier-ignore
      const l1 = Math.abs(nx) + Math.abs(ny) + Math.abs(nz);
      flat[4 * k] = nx;
      flat[4 * k + 1] = ny;
      flat[4 * k + 2] = nz;
      flat[4 * k + 3] = offset - (plane[o + 6] as number) - 4e-15 * l1 * far;
    }
    const end = flat.length;
    for (const p of points) {
      const i = 3 * p;
      const x = xyz[i] as number;
      const y = xyz[i + 1] as number;
      const z = xyz[i + 2] as number;
      let k = 0;
      while (
        k < end &&
        (flat[k] as number) * x + (flat[k + 1] as number) * y + (flat[k + 2] as number) * z <
          (flat[k + 3] as number)
      )
        k += 4;
      // The first face that may see the point comes first, so that most need one exact look.
      if (k < end) this.assign(p, faces, k / 4);
    }
    for (const f of faces) if (this.head[f] !== -1) this.todo.push(f);
  }

  /** Gives point p to face f, which it must see. */
  give(p: number, f: number): void {
    if (this.head[f] === -1) this.todo.push(f);
    this.next[p] = this.head[f] as number;
    this.head[f] = p;
  }

  private assign(p: number, faces: readonly number[], from: number): void {
    for (let k = from; k < faces.length; k++) {
      const f = faces[k] as number;
      if (this.sees(f, p)) {
        this.next[p] = this.head[f] as number;
        this.head[f] = p;
        return;
      }
    }
  }

  run(): void {
    for (let f = this.todo.pop(); f !== undefined; f = this.todo.pop()) {
      if (!this.alive[f]) continue;
      let far = -1;
      let most = -Infinity;
      for (let p = this.head[f] as number; p !== -1; p = this.next[p] as number) {
        const d = this.height(f, p);
        if (d > most) {
          most = d;
          far = p;
        }
      }
      if (far !== -1) this.insert(far, f);
    }
  }

  /** Replaces the faces that p sees by the cone from p over their rim. */
  private insert(p: number, first: number): void {
    const { visible, rim, made } = this;
    let { v, nb, alive } = this;
    visible.length = 0;
    rim.length = 0;
    made.length = 0;
    visible.push(first);
    alive[first] = 0;
    for (let k = 0; k < visible.length; k++) {
      const f = visible[k] as number;
      for (let i = 0; i < 3; i++) {
        const g = nb[3 * f + i] as number;
        if (alive[g] && this.sees(g, p)) {
          alive[g] = 0;
          visible.push(g);
        }
      }
    }
    // Triples: from, to, the face that stays.
    for (const f of visible)
      for (let i = 0; i < 3; i++) {
        const g = nb[3 * f + i] as number;
        if (alive[g])
          rim.push(v[3 * f + i] as number, v[3 * f + (i === 2 ? 0 : i + 1)] as number, g);
      }
    for (let k = 0; k < rim.length; k += 3) {
      const a = rim[k] as number;
      const b = rim[k + 1] as number;
      const g = rim[k + 2] as number;
      const f = this.addFace(a, b, p);
      ({ v, nb, alive } = this);
      nb[3 * f] = g;
      const i = v[3 * g] === b ? 0 : v[3 * g + 1] === b ? 1 : 2;
      nb[3 * g + i] = f;
      this.coneAt[a] = f;
      made.push(f);
    }
    for (const f of made) {
      const after = this.coneAt[v[3 * f + 1] as number] as number;
      nb[3 * f + 1] = after;
      nb[3 * after + 2] = f;
    }
    for (const f of visible) {
      let q = this.head[f] as number;
      while (q !== -1) {
        const following = this.next[q] as number;
        if (q !== p) this.assign(q, made, 0);
        q = following;
      }
      this.free.push(f);
    }
    for (const f of made) if (this.head[f] !== -1) this.todo.push(f);
  }

  result(): Hull {
    const { xyz, v, alive } = this;
    const index = new Int32Array(xyz.length / 3).fill(-1);
    const source: number[] = [];
    const triangles: number[] = [];
    for (let f = 0; f < this.faces; f++) {
      if (!alive[f]) continue;
      for (let i = 0; i < 3; i++) {
        const p = v[3 * f + i] as number;
        if (index[p] === -1) index[p] = source.push(p) - 1;
        triangles.push(index[p] as number);
      }
    }
    const positions = new Float64Array(3 * source.length);
    source.forEach((p, k) => positions.set(xyz.subarray(3 * p, 3 * p + 3), 3 * k));
    return {
      positions,
      source: Uint32Array.from(source),
      triangles: Uint32Array.from(triangles),
      rank: 3,
    };
  }
}
