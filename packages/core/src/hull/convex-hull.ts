import { orient3d } from 'robust-predicates';
import { ScantlingError } from '../errors.ts';
import { flatHull } from './flat-hull.ts';
import type { Hull } from './types.ts';

/**
 * Convex hull of a point set, exact: every sidedness question is answered in exact arithmetic when
 * rounding could decide it (Shewchuk 1997, through robust-predicates), so that no input point lies
 * outside the result by any amount. Flat and straight sets come back with a lower rank.
 *
 * @param positions x, y, z per point, mm
 * @throws ScantlingError `NON_FINITE` for a coordinate that is not a number (says which)
 * Method: quickhull (Barber, Dobkin and Huhdanpaa 1996) over flat arrays, begun from the extreme
 * points of 26 directions so that most interior points are dropped at their first test.
 * Cost: about 12 plane tests per input point, then O(h log h) for h hull vertices.
 */
export function convexHull(positions: Float64Array): Hull {
  const n = positions.length / 3;
  for (let i = 0; i < positions.length; i++)
    if (!Number.isFinite(positions[i]))
      throw new ScantlingError('NON_FINITE', `Vertex ${Math.floor(i / 3)} is not a finite point.`);
  const seeds = extremesOf26(positions, n);
  const start = simplexOf(positions, seeds) ?? simplexOf(positions, null);
  if (start === null) return flatHull(positions);
  const builder = new Builder(positions, start);
  for (const s of seeds) builder.insertAnywhere(s);
  builder.assignAll();
  builder.run();
  return builder.result();
}

/** Indices of the extreme points along the 26 directions of a 3x3x3 neighbourhood. */
function extremesOf26(xyz: Float64Array, n: number): number[] {
  const found = new Set<number>();
  for (let dx = -1; dx <= 1; dx++)
    for (let dy = -1; dy <= 1; dy++)
      for (let dz = -1; dz <= 1; dz++) {
        // Half of the directions; each gives both its ends.
        if (9 * dx + 3 * dy + dz <= 0) continue;
        let hi = -Infinity;
        let lo = Infinity;
        let top = -1;
        let bottom = -1;
        for (let i = 0; i < n; i++) {
          const d =
            dx * (xyz[3 * i] as number) +
            dy * (xyz[3 * i + 1] as number) +
            dz * (xyz[3 * i + 2] as number);
          if (d > hi) {
            hi = d;
            top = i;
          }
          if (d < lo) {
            lo = d;
            bottom = i;
          }
        }
        if (top >= 0) found.add(top).add(bottom);
      }
  return [...found];
}

/** Four points that span a body, or null when all lie in one plane (decided exactly). */
function simplexOf(
  xyz: Float64Array,
  among: readonly number[] | null,
): [number, number, number, number] | null {
  const count = among ? among.length : xyz.length / 3;
  const id = (k: number): number => (among ? (among[k] as number) : k);
  const farthest = (score: (i: number) => number): number => {
    let best = -1;
    let most = 0;
    for (let k = 0; k < count; k++) {
      const s = score(id(k));
      if (s > most) {
        most = s;
        best = id(k);
      }
    }
    return best;
  };
  if (count < 4) return null;
  const a = id(0);
  const at = (i: number, c: number): number => xyz[3 * i + c] as number;
  const sq = (i: number, j: number): number =>
    (at(i, 0) - at(j, 0)) ** 2 + (at(i, 1) - at(j, 1)) ** 2 + (at(i, 2) - at(j, 2)) ** 2;
  const b = farthest((i) => sq(i, a));
  if (b < 0) return null;
  const cross = (i: number): [number, number, number] => {
    const ux = at(b, 0) - at(a, 0), uy = at(b, 1) - at(a, 1), uz = at(b, 2) - at(a, 2); // prettier-ignore
    const vx = at(i, 0) - at(a, 0), vy = at(i, 1) - at(a, 1), vz = at(i, 2) - at(a, 2); // prettier-ignore
    return [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
  };
  const c = farthest((i) => cross(i).reduce((s, x) => s + x * x, 0));
  if (c < 0) return null;
  // A nearly flat set may have its rounding give the wrong winner, but never a wrong sign: any
  // point that is exactly off the plane will do.
  const d = farthest((i) => Math.abs(side(xyz, a, b, c, i)));
  return d < 0 ? null : [a, b, c, d];
}

/** Positive when point p lies on the outer side of a, b, c taken counter-clockwise; exact sign. */
function side(xyz: Float64Array, a: number, b: number, c: number, p: number): number {
  return -orient3d(
    xyz[3 * a] as number, xyz[3 * a + 1] as number, xyz[3 * a + 2] as number,
    xyz[3 * b] as number, xyz[3 * b + 1] as number, xyz[3 * b + 2] as number,
    xyz[3 * c] as number, xyz[3 * c + 1] as number, xyz[3 * c + 2] as number,
    xyz[3 * p] as number, xyz[3 * p + 1] as number, xyz[3 * p + 2] as number,
  ); // prettier-ignore
}

/** Everything about the growing hull. Face f: corners v[3f..], neighbour nb[3f+i] over edge i. */
class Builder {
  private readonly v: number[] = [];
  private readonly nb: number[] = [];
  /** Per face: normal x, y, z (not of unit length), corner x, y, z, and the error of a plane test. */
  private readonly plane: number[] = [];
  private readonly alive: boolean[] = [];
  /** First point known to lie outside the face, -1 for none; `next` chains them. */
  private readonly head: number[] = [];
  private readonly next: Int32Array;
  private readonly coneAt: Int32Array;
  private readonly diameter: number;
  /** Largest |x|, |y| and |z|. */
  private readonly bound: readonly number[];
  private readonly todo: number[] = [];
  private readonly visible: number[] = [];

  constructor(
    private readonly xyz: Float64Array,
    [a, b, c, d]: readonly [number, number, number, number],
  ) {
    const n = xyz.length / 3;
    this.next = new Int32Array(n).fill(-1);
    this.coneAt = new Int32Array(n).fill(-1);
    let span = 0;
    const bound: number[] = [];
    for (let k = 0; k < 3; k++) {
      let lo = Infinity;
      let hi = -Infinity;
      for (let i = k; i < xyz.length; i += 3) {
        const x = xyz[i] as number;
        if (x < lo) lo = x;
        if (x > hi) hi = x;
      }
      span += hi - lo;
      bound.push(Math.max(Math.abs(lo), Math.abs(hi)));
    }
    this.diameter = span;
    this.bound = bound;
    // Wind the first face so that d is behind it.
    const [p, q, r] = side(xyz, a, b, c, d) < 0 ? [a, b, c] : [a, c, b];
    this.addFace(p, q, r);
    this.addFace(q, p, d);
    this.addFace(r, q, d);
    this.addFace(p, r, d);
    this.nb.push(1, 2, 3, 0, 3, 2, 0, 1, 3, 0, 2, 1);
  }

  private addFace(a: number, b: number, c: number): number {
    const { xyz } = this;
    const ax = xyz[3 * a] as number, ay = xyz[3 * a + 1] as number, az = xyz[3 * a + 2] as number; // prettier-ignore
    const ux = (xyz[3 * b] as number) - ax, uy = (xyz[3 * b + 1] as number) - ay, uz = (xyz[3 * b + 2] as number) - az; // prettier-ignore
    const vx = (xyz[3 * c] as number) - ax, vy = (xyz[3 * c + 1] as number) - ay, vz = (xyz[3 * c + 2] as number) - az; // prettier-ignore
    const size =
      (Math.abs(ux) + Math.abs(uy) + Math.abs(uz)) * (Math.abs(vx) + Math.abs(vy) + Math.abs(vz));
    this.v.push(a, b, c);
    // The last entry bounds the rounding of n.(p - a): at most 16 units in the last place of the
    // product of three 1-norms, of which `diameter` bounds the third.
    this.plane.push(
      uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx,
      ax, ay, az, 2e-15 * size * this.diameter,
    ); // prettier-ignore
    this.head.push(-1);
    this.alive.push(true);
    return this.head.length - 1;
  }

  /** Whether p lies strictly outside face f. */
  private sees(f: number, p: number): boolean {
    const d = this.height(f, p);
    const slack = this.plane[7 * f + 6] as number;
    if (d > slack) return true;
    if (d < -slack) return false;
    return (
      side(
        this.xyz,
        this.v[3 * f] as number,
        this.v[3 * f + 1] as number,
        this.v[3 * f + 2] as number,
        p,
      ) > 0
    );
  }

  private height(f: number, p: number): number {
    const { xyz, plane } = this;
    const o = 7 * f;
    return (
      (plane[o] as number) * ((xyz[3 * p] as number) - (plane[o + 3] as number)) +
      (plane[o + 1] as number) * ((xyz[3 * p + 1] as number) - (plane[o + 4] as number)) +
      (plane[o + 2] as number) * ((xyz[3 * p + 2] as number) - (plane[o + 5] as number))
    );
  }

  /** Adds p if it lies outside, looking at every face; for the first few points only. */
  insertAnywhere(p: number): void {
    for (let f = 0; f < this.head.length; f++)
      if (this.alive[f] && this.sees(f, p)) {
        this.insert(p, f);
        return;
      }
  }

  /** Gives every point outside the first hull to one face that it sees. */
  assignAll(): void {
    const { xyz, plane } = this;
    const faces: number[] = [];
    for (let f = 0; f < this.head.length; f++) if (this.alive[f]) faces.push(f);
    // Most points are inside: a plain pass over flat numbers drops those beyond doubt.
    const flat = new Float64Array(4 * faces.length);
    const far = Math.max(...this.bound) + this.diameter;
    faces.forEach((f, k) => {
      const o = 7 * f;
      const [nx, ny, nz, ax, ay, az, slack] = plane.slice(o, o + 7) as [
        number,
        number,
        number,
        number,
        number,
        number,
        number,
      ];
      const l1 = Math.abs(nx) + Math.abs(ny) + Math.abs(nz);
      flat.set([nx, ny, nz, nx * ax + ny * ay + nz * az - slack - 4e-15 * l1 * far], 4 * k);
    });
    const end = flat.length;
    for (let i = 0; i < xyz.length; i += 3) {
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
      if (k < end) this.assign(i / 3, faces);
    }
    for (const f of faces) if (this.head[f] !== -1) this.todo.push(f);
  }

  private assign(p: number, faces: readonly number[]): void {
    for (const f of faces)
      if (this.sees(f, p)) {
        this.next[p] = this.head[f] as number;
        this.head[f] = p;
        return;
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
    const { v, nb, alive, visible } = this;
    visible.length = 0;
    visible.push(first);
    alive[first] = false;
    const rim: number[] = []; // Triples: from, to, the face that stays.
    for (let k = 0; k < visible.length; k++) {
      const f = visible[k] as number;
      for (let i = 0; i < 3; i++) {
        const g = nb[3 * f + i] as number;
        if (!alive[g]) continue;
        if (this.sees(g, p)) {
          alive[g] = false;
          visible.push(g);
        }
      }
    }
    for (const f of visible)
      for (let i = 0; i < 3; i++) {
        const g = nb[3 * f + i] as number;
        if (alive[g]) rim.push(v[3 * f + i] as number, v[3 * f + ((i + 1) % 3)] as number, g);
      }
    const made: number[] = [];
    for (let k = 0; k < rim.length; k += 3) {
      const a = rim[k] as number;
      const b = rim[k + 1] as number;
      const g = rim[k + 2] as number;
      const f = this.addFace(a, b, p);
      nb.push(g, -1, -1);
      for (let i = 0; i < 3; i++)
        if (v[3 * g + i] === b && v[3 * g + ((i + 1) % 3)] === a) nb[3 * g + i] = f;
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
      this.head[f] = -1;
      while (q !== -1) {
        const following = this.next[q] as number;
        if (q !== p) this.assign(q, made);
        q = following;
      }
    }
    for (const f of made) if (this.head[f] !== -1) this.todo.push(f);
  }

  result(): Hull {
    const { xyz, v, alive } = this;
    const index = new Map<number, number>();
    const triangles: number[] = [];
    for (let f = 0; f < alive.length; f++) {
      if (!alive[f]) continue;
      for (let i = 0; i < 3; i++) {
        const p = v[3 * f + i] as number;
        let k = index.get(p);
        if (k === undefined) index.set(p, (k = index.size));
        triangles.push(k);
      }
    }
    const source = Uint32Array.from(index.keys());
    const positions = new Float64Array(3 * source.length);
    source.forEach((p, k) => positions.set(xyz.subarray(3 * p, 3 * p + 3), 3 * k));
    return { positions, source, triangles: Uint32Array.from(triangles), rank: 3 };
  }
}
