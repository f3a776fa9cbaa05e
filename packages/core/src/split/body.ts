import type { Mesh } from '../mesh/index.ts';
import type { Vec3 } from '../math/index.ts';

/**
 * A part, or one side of it after cuts, as the search handles it: a closed chain of oriented
 * facets. A cut is closed by a signed fan from one point of the plane. Such a fan may reach
 * outside the material, but all it wrongly adds it also takes away, so every integral over the
 * chain (volume, area and moments of a section) is that of the capped solid: no kernel needed.
 */
export interface Body {
  readonly positions: Float64Array;
  readonly triangles: Uint32Array;
  /** Per facet: 1 for the part's own skin, 0 for a fan facet that closes a cut. */
  readonly skin: Uint8Array;
}

export const bodyFrom = (mesh: Mesh): Body => ({
  positions: mesh.positions,
  triangles: mesh.triangles,
  skin: new Uint8Array(mesh.triangles.length / 3).fill(1),
});

/** Heights of all vertices along `n`, mm. */
export function heightsAlong(positions: Float64Array, n: Vec3): Float64Array {
  const h = new Float64Array(positions.length / 3);
  for (let i = 0, j = 0; i < h.length; i++, j += 3)
    h[i] =
      (positions[j] as number) * n[0] +
      (positions[j + 1] as number) * n[1] +
      (positions[j + 2] as number) * n[2];
  return h;
}

/** Points of the skin, flat xyz: their convex hull is the hull of the piece. */
export function skinPoints(body: Body): Float64Array {
  const used = new Uint8Array(body.positions.length / 3);
  for (let t = 0; t < body.skin.length; t++)
    if (body.skin[t]) for (let c = 0; c < 3; c++) used[body.triangles[3 * t + c] as number] = 1;
  let count = 0;
  for (const u of used) count += u;
  if (count === used.length) return body.positions;
  const out = new Float64Array(3 * count);
  for (let i = 0, o = 0; i < used.length; i++)
    if (used[i]) {
      out[o++] = body.positions[3 * i] as number;
      out[o++] = body.positions[3 * i + 1] as number;
      out[o++] = body.positions[3 * i + 2] as number;
    }
  return out;
}

/** Points whose convex hull is that of one side of a cut: its skin's vertices and the cut's. */
export function sidePoints(
  body: Body,
  n: Vec3,
  offset: number,
  side: 'below' | 'above',
): Float64Array {
  const { positions: p, triangles: t, skin } = body;
  const h = heightsAlong(p, n);
  const up = side === 'above';
  const used = new Uint8Array(h.length);
  const out: number[] = [];
  for (let f = 0; f < skin.length; f++) {
    if (!skin[f]) continue;
    for (let c = 0; c < 3; c++) {
      const i = t[3 * f + c] as number;
      const j = t[3 * f + ((c + 1) % 3)] as number;
      const hi = h[i] as number;
      const hj = h[j] as number;
      const mine = hi > offset === up;
      if (mine && !used[i]) {
        used[i] = 1;
        out.push(p[3 * i] as number, p[3 * i + 1] as number, p[3 * i + 2] as number);
      }
      // Every edge of a closed mesh is met twice: once is enough.
      if (i > j || mine === (hj > offset === up)) continue;
      const s = (offset - hi) / (hj - hi);
      for (let k = 0; k < 3; k++) {
        const a = p[3 * i + k] as number;
        out.push(a + s * ((p[3 * j + k] as number) - a));
      }
    }
  }
  return Float64Array.from(out);
}

/** Signed volume of the chain, mm3, summed about its first vertex. */
export function bodyVolume(body: Body): number {
  const p = body.positions;
  const ox = p[0] ?? 0;
  const oy = p[1] ?? 0;
  const oz = p[2] ?? 0;
  let sum = 0;
  for (let t = 0; t < body.triangles.length; t += 3) {
    const a = 3 * (body.triangles[t] as number);
    const b = 3 * (body.triangles[t + 1] as number);
    const c = 3 * (body.triangles[t + 2] as number);
    const ax = (p[a] as number) - ox, ay = (p[a + 1] as number) - oy, az = (p[a + 2] as number) - oz; // prettier-ignore
    const bx = (p[b] as number) - ox, by = (p[b + 1] as number) - oy, bz = (p[b + 2] as number) - oz; // prettier-ignore
    const cx = (p[c] as number) - ox, cy = (p[c + 1] as number) - oy, cz = (p[c + 2] as number) - oz; // prettier-ignore
    sum += ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
  }
  return sum / 6;
}

/** Arrays to collect one side of a cut in. */
class Scratch {
  known = new Int32Array(0);
  xyz = new Float64Array(0);
  corners = new Uint32Array(0);
  skin = new Uint8Array(0);

  ready(points: number, facets: number, crossings: number): void {
    if (this.known.length < points) this.known = new Int32Array(points);
    this.known.fill(-1, 0, points);
    const most = { points: points + 2 * crossings, facets: facets + 2 * crossings };
    if (this.xyz.length < 3 * most.points) this.xyz = new Float64Array(3 * most.points);
    if (this.skin.length >= most.facets) return;
    this.skin = new Uint8Array(most.facets);
    this.corners = new Uint32Array(3 * most.facets);
  }
}

/** Kept from cut to cut for small bodies, which are cut by the thousand; large ones hold no memory. */
const KEPT = { below: new Scratch(), above: new Scratch(), facets: 20_000 };

/** Collects one side of a cut. */
class Side {
  private readonly from: Float64Array;
  private readonly known: Int32Array;
  private readonly xyz: Float64Array;
  private readonly corners: Uint32Array;
  private readonly skin: Uint8Array;
  private points = 0;
  private facets = 0;
  private skinFacets = 0;

  constructor(scratch: Scratch, from: Float64Array, facets: number, crossings: number) {
    scratch.ready(from.length / 3, facets, crossings);
    this.from = from;
    this.known = scratch.known;
    this.xyz = scratch.xyz;
    this.corners = scratch.corners;
    this.skin = scratch.skin;
  }

  /** The vertex i of the body that is cut. */
  old(i: number): number {
    let k = this.known[i] as number;
    if (k >= 0) return k;
    k = this.point(
      this.from[3 * i] as number,
      this.from[3 * i + 1] as number,
      this.from[3 * i + 2] as number,
    );
    this.known[i] = k;
    return k;
  }

  point(x: number, y: number, z: number): number {
    const o = 3 * this.points;
    this.xyz[o] = x;
    this.xyz[o + 1] = y;
    this.xyz[o + 2] = z;
    return this.points++;
  }

  /** A second vertex at the place of vertex i. */
  twin(i: number): number {
    return this.point(
      this.xyz[3 * i] as number,
      this.xyz[3 * i + 1] as number,
      this.xyz[3 * i + 2] as number,
    );
  }

  facet(a: number, b: number, c: number, skin: number): void {
    const o = 3 * this.facets;
    this.corners[o] = a;
    this.corners[o + 1] = b;
    this.corners[o + 2] = c;
    this.skin[this.facets++] = skin;
    this.skinFacets += skin;
  }

  body(): Body | null {
    if (this.skinFacets === 0) return null;
    return {
      positions: this.xyz.slice(0, 3 * this.points),
      triangles: this.corners.slice(0, 3 * this.facets),
      skin: this.skin.slice(0, this.facets),
    };
  }
}

export interface Halves {
  readonly below: Body | null;
  readonly above: Body | null;
}

/**
 * Both sides of the plane dot(n, p) = offset. A vertex exactly in the plane counts as below, so
 * no case is special. A side without any skin is null. Every loop of the cut gets a fan of its
 * own, so that what hangs together in a side can be told from its vertices. O(facets).
 */
export const clipBody = (body: Body, n: Vec3, offset: number): Halves =>
  clip(body, heightsAlong(body.positions, n), offset, true);

/**
 * The same with cuts left open: enough to tell how large the sides are.
 * @param h heights of the vertices along the plane's normal, mm
 */
export const clipSkin = (body: Body, h: Float64Array, offset: number): Halves =>
  clip(body, h, offset, false);

function clip(body: Body, h: Float64Array, offset: number, closed: boolean): Halves {
  const { positions: p, triangles: t, skin } = body;
  let up = 0;
  let crossed = 0;
  for (let f = 0; f < t.length; f += 3) {
    const a = (h[t[f] as number] as number) > offset ? 1 : 0;
    const b = (h[t[f + 1] as number] as number) > offset ? 1 : 0;
    const c = (h[t[f + 2] as number] as number) > offset ? 1 : 0;
    if (a + b + c === 3) up++;
    else if (a + b + c > 0) crossed++;
  }
  const down = skin.length - up - crossed;
  if (crossed === 0 && up === 0) return { below: body, above: null };
  if (crossed === 0 && down === 0) return { below: null, above: body };
  const small = skin.length <= KEPT.facets;
  const below = new Side(small ? KEPT.below : new Scratch(), p, down + crossed, crossed);
  const above = new Side(small ? KEPT.above : new Scratch(), p, up + crossed, crossed);
  const made = new Map<number, number>();
  // Vertices in the cut by their running number: index below, index above.
  const rimBelow: number[] = [];
  const rimAbove: number[] = [];
  const cross = (i: number, j: number): number => {
    // The lower index first, so that both facets of an edge compute the same point.
    const a = i < j ? i : j;
    const b = i < j ? j : i;
    const key = a * h.length + b;
    const known = made.get(key);
    if (known !== undefined) return known;
    const s = (offset - (h[a] as number)) / ((h[b] as number) - (h[a] as number));
    const x = (p[3 * a] as number) + s * ((p[3 * b] as number) - (p[3 * a] as number));
    const y = (p[3 * a + 1] as number) + s * ((p[3 * b + 1] as number) - (p[3 * a + 1] as number));
    const z = (p[3 * a + 2] as number) + s * ((p[3 * b + 2] as number) - (p[3 * a + 2] as number));
    rimBelow.push(below.point(x, y, z));
    made.set(key, rimAbove.length);
    return rimAbove.push(above.point(x, y, z)) - 1;
  };
  // Seen from above the material lies left of the way from `starts[s]` to `ends[s]`.
  const starts: number[] = [];
  const ends: number[] = [];
  for (let f = 0; f < skin.length; f++) {
    const kind = skin[f] as number;
    const i = t[3 * f] as number;
    const j = t[3 * f + 1] as number;
    const k = t[3 * f + 2] as number;
    const ui = (h[i] as number) > offset;
    const uj = (h[j] as number) > offset;
    const uk = (h[k] as number) > offset;
    if (ui === uj && uj === uk) {
      const side = ui ? above : below;
      side.facet(side.old(i), side.old(j), side.old(k), kind);
      continue;
    }
    // (a, b, c) is (i, j, k) turned so that a stands alone on its side.
    const a = uj === uk ? i : ui === uk ? j : k;
    const b = a === i ? j : a === j ? k : i;
    const c = a === i ? k : a === j ? i : j;
    const isUp = (h[a] as number) > offset;
    const q = cross(a, b);
    const r = cross(a, c);
    const alone = isUp ? above : below;
    const other = isUp ? below : above;
    const [one, two] = isUp ? [rimAbove, rimBelow] : [rimBelow, rimAbove];
    alone.facet(alone.old(a), one[q] as number, one[r] as number, kind);
    other.facet(two[q] as number, other.old(b), other.old(c), kind);
    other.facet(two[q] as number, other.old(c), two[r] as number, kind);
    if (!closed) continue;
    starts.push(isUp ? q : r);
    ends.push(isUp ? r : q);
  }
  if (!closed) return { below: below.body(), above: above.body() };
  // Fan by fan: loops are told apart by what their segments share.
  const group = new Groups(rimBelow.length);
  for (let s = 0; s < starts.length; s++) group.unite(starts[s] as number, ends[s] as number);
  const apexes = new Map<number, readonly [number, number]>();
  for (let s = 0; s < starts.length; s++) {
    const start = starts[s] as number;
    const end = ends[s] as number;
    const loop = group.find(start);
    let apex = apexes.get(loop);
    if (!apex) {
      apex = [below.twin(rimBelow[loop] as number), above.twin(rimAbove[loop] as number)];
      apexes.set(loop, apex);
    }
    below.facet(apex[0], rimBelow[start] as number, rimBelow[end] as number, 0);
    above.facet(apex[1], rimAbove[end] as number, rimAbove[start] as number, 0);
  }
  return { below: below.body(), above: above.body() };
}

/** Disjoint sets of 0 .. n - 1 (union by halving paths). */
export class Groups {
  private readonly parent: Int32Array;

  constructor(n: number) {
    this.parent = new Int32Array(n);
    for (let i = 0; i < n; i++) this.parent[i] = i;
  }

  find(i: number): number {
    let at = i;
    while (this.parent[at] !== at) {
      const up = this.parent[this.parent[at] as number] as number;
      this.parent[at] = up;
      at = up;
    }
    return at;
  }

  unite(i: number, j: number): void {
    this.parent[this.find(i)] = this.find(j);
  }
}

/**
 * Bodies in a closed chain that hang together nowhere: shells, with their cuts closed, that hold a
 * positive volume. A hollow's shell holds a negative one and belongs to the body around it.
 */
export function countBodies(body: Body): number {
  const { positions: p, triangles: t } = body;
  const groups = new Groups(p.length / 3);
  for (let f = 0; f < t.length; f += 3) {
    groups.unite(t[f] as number, t[f + 1] as number);
    groups.unite(t[f] as number, t[f + 2] as number);
  }
  const volumes = new Float64Array(p.length / 3);
  const ox = p[0] as number, oy = p[1] as number, oz = p[2] as number; // prettier-ignore
  for (let f = 0; f < t.length; f += 3) {
    const a = 3 * (t[f] as number);
    const b = 3 * (t[f + 1] as number);
    const c = 3 * (t[f + 2] as number);
    const ax = (p[a] as number) - ox, ay = (p[a + 1] as number) - oy, az = (p[a + 2] as number) - oz; // prettier-ignore
    const bx = (p[b] as number) - ox, by = (p[b + 1] as number) - oy, bz = (p[b + 2] as number) - oz; // prettier-ignore
    const cx = (p[c] as number) - ox, cy = (p[c + 1] as number) - oy, cz = (p[c + 2] as number) - oz; // prettier-ignore
    const v = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
    const shell = groups.find(a / 3);
    volumes[shell] = (volumes[shell] as number) + v;
  }
  let most = 0;
  for (const v of volumes) if (Math.abs(v) > most) most = Math.abs(v);
  // Rounding leaves crumbs where a plane grazes a face: they hold nothing.
  let count = 0;
  for (const v of volumes) if (v > 1e-9 * most) count++;
  return count;
}
