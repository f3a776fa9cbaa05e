import type { Vec3 } from '../math/index.ts';
import { planeFrame, type Mesh, type Plane } from '../mesh/index.ts';
import type { FlatKernel } from '../solid/index.ts';
import { fillRim } from './rim.ts';

/** Vertices of a part and of all its cuts, shared by the pieces: mating faces are the same points. */
export class Points {
  private xyz: Float64Array;
  private used: number;

  constructor(positions: Float64Array) {
    this.xyz = new Float64Array(Math.ceil(positions.length * 1.25) + 3000);
    this.xyz.set(positions);
    this.used = positions.length;
  }

  get count(): number {
    return this.used / 3;
  }

  add(x: number, y: number, z: number): number {
    if (this.used + 3 > this.xyz.length) {
      const more = new Float64Array(2 * this.xyz.length);
      more.set(this.xyz);
      this.xyz = more;
    }
    this.xyz[this.used] = x;
    this.xyz[this.used + 1] = y;
    this.xyz[this.used + 2] = z;
    this.used += 3;
    return this.used / 3 - 1;
  }

  at(i: number): Vec3 {
    return [this.xyz[3 * i] as number, this.xyz[3 * i + 1] as number, this.xyz[3 * i + 2] as number]; // prettier-ignore
  }

  /** Flat xyz; do not keep: it moves when points are added. */
  get positions(): Float64Array {
    return this.xyz;
  }
}

/** A closed, oriented surface. */
export interface Shell {
  /** Corners by threes, numbers of `Points`. */
  readonly facets: Uint32Array;
  /** Per facet: 0 for the part's own skin, else the number of the cut whose face it lies in. */
  readonly face: Uint16Array;
}

export const shellOf = (mesh: Mesh): Shell => ({
  facets: mesh.triangles,
  face: new Uint16Array(mesh.triangles.length / 3),
});

/** A vertex nearer to a plane than this share of the part's size lies in it: float32 tells no finer. */
const IN_PLANE = 1e-7;

/** The two sides of a cut; null where a side has nothing in it. */
export interface Halves {
  readonly below: Shell | null;
  readonly above: Shell | null;
}

/**
 * Both sides of a plane, each closed by facets numbered `face`. Facets that lie in the plane go
 * below. O(facets).
 * @returns null where the section is no sound outline, as on a surface that crosses itself
 */
export function halve(
  shell: Shell,
  points: Points,
  plane: Plane,
  face: number,
  flat: FlatKernel,
): Halves | null {
  const { facets, face: faces } = shell;
  const h = heights(points, plane);
  const below = new Grower(facets.length);
  const above = new Grower(facets.length);
  const made = new Map<number, number>();
  const rim: number[] = [];
  const n = h.length;
  const crossing = (i: number, j: number): number => {
    // The lower number first, so that both facets of an edge compute the same point.
    const [a, b] = i < j ? [i, j] : [j, i];
    const known = made.get(a * n + b);
    if (known !== undefined) return known;
    const s = (h[a] as number) / ((h[a] as number) - (h[b] as number));
    const p = points.at(a);
    const q = points.at(b);
    const id = points.add(p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1]), p[2] + s * (q[2] - p[2])); // prettier-ignore
    made.set(a * n + b, id);
    return id;
  };
  const low: number[] = [];
  const high: number[] = [];
  const on: boolean[] = [];
  for (let f = 0; f < faces.length; f++) {
    const a = facets[3 * f] as number;
    const b = facets[3 * f + 1] as number;
    const c = facets[3 * f + 2] as number;
    const ha = h[a] as number;
    const hb = h[b] as number;
    const hc = h[c] as number;
    const of = faces[f] as number;
    if (ha <= 0 && hb <= 0 && hc <= 0) {
      below.add(a, b, c, of);
      continue;
    }
    if (ha >= 0 && hb >= 0 && hc >= 0) {
      above.add(a, b, c, of);
      if (ha === 0 && hb === 0) rim.push(a, b);
      if (hb === 0 && hc === 0) rim.push(b, c);
      if (hc === 0 && ha === 0) rim.push(c, a);
      continue;
    }
    low.length = high.length = on.length = 0;
    const corners = [a, b, c];
    for (let k = 0; k < 3; k++) {
      const i = corners[k] as number;
      const j = corners[(k + 1) % 3] as number;
      const hi = h[i] as number;
      const hj = h[j] as number;
      if (hi <= 0) low.push(i);
      if (hi >= 0) {
        high.push(i);
        on.push(hi === 0);
      }
      if ((hi < 0 && hj > 0) || (hi > 0 && hj < 0)) {
        const x = crossing(i, j);
        low.push(x);
        high.push(x);
        on.push(true);
      }
    }
    below.polygon(low, of);
    above.polygon(high, of);
    for (let k = 0; k < high.length; k++) {
      const m = (k + 1) % high.length;
      if (on[k] && on[m]) rim.push(high[k] as number, high[m] as number);
    }
  }
  if (below.empty || above.empty)
    return below.empty ? { below: null, above: shell } : { below: shell, above: null };
  const cap = fillRim(rim, planeFrame(plane), points, flat);
  if (!cap) return null;
  for (let t = 0; t < cap.length; t += 3) {
    const [a, b, c] = [cap[t] as number, cap[t + 1] as number, cap[t + 2] as number];
    below.add(a, b, c, face);
    above.add(a, c, b, face);
  }
  return { below: below.shell(), above: above.shell() };
}

/** Heights of all points over the plane; exactly 0 for those that lie in it. */
function heights(points: Points, { normal: [x, y, z], offsetMm }: Plane): Float64Array {
  const p = points.positions;
  const h = new Float64Array(points.count);
  let most = 0;
  for (let i = 0, j = 0; i < h.length; i++, j += 3) {
    const d = (p[j] as number) * x + (p[j + 1] as number) * y + (p[j + 2] as number) * z - offsetMm;
    h[i] = d;
    if (Math.abs(d) > most) most = Math.abs(d);
  }
  const least = IN_PLANE * most;
  for (let i = 0; i < h.length; i++) if (Math.abs(h[i] as number) < least) h[i] = 0;
  return h;
}

/** Facets gathered in arrays that grow. */
export class Grower {
  private facets: Uint32Array;
  private faces: Uint16Array;
  private count = 0;

  constructor(corners: number) {
    this.facets = new Uint32Array(corners + 3000);
    this.faces = new Uint16Array(this.facets.length / 3);
  }

  get empty(): boolean {
    return this.count === 0;
  }

  add(a: number, b: number, c: number, face: number): void {
    const o = 3 * this.count;
    if (o + 3 > this.facets.length) {
      const facets = new Uint32Array(3 * Math.ceil(this.facets.length / 2));
      facets.set(this.facets);
      const faces = new Uint16Array(facets.length / 3);
      faces.set(this.faces);
      this.facets = facets;
      this.faces = faces;
    }
    this.facets[o] = a;
    this.facets[o + 1] = b;
    this.facets[o + 2] = c;
    this.faces[this.count++] = face;
  }

  /** A convex polygon of three or four corners. */
  polygon(corners: readonly number[], face: number): void {
    for (let k = 2; k < corners.length; k++)
      this.add(corners[0] as number, corners[k - 1] as number, corners[k] as number, face);
  }

  shell(): Shell {
    return {
      facets: this.facets.slice(0, 3 * this.count),
      face: this.faces.slice(0, this.count),
    };
  }
}

/** The surface as a mesh of its own, unused points left out. */
export function meshOf({ facets }: Shell, points: Points): Mesh {
  const number = new Int32Array(points.count).fill(-1);
  const triangles = new Uint32Array(facets.length);
  const xyz = new Float64Array(3 * points.count);
  const from = points.positions;
  let count = 0;
  for (let i = 0; i < facets.length; i++) {
    const v = facets[i] as number;
    let k = number[v] as number;
    if (k < 0) {
      number[v] = k = count++;
      xyz[3 * k] = from[3 * v] as number;
      xyz[3 * k + 1] = from[3 * v + 1] as number;
      xyz[3 * k + 2] = from[3 * v + 2] as number;
    }
    triangles[i] = k;
  }
  return { positions: xyz.slice(0, 3 * count), triangles };
}
