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

/** Collects one side of a cut. */
class Side {
  readonly xyz: number[] = [];
  readonly triangles: number[] = [];
  readonly skin: number[] = [];
  private readonly known: Int32Array;
  private readonly from: Float64Array;

  constructor(from: Float64Array) {
    this.from = from;
    this.known = new Int32Array(from.length / 3).fill(-1);
  }

  old(i: number): number {
    let k = this.known[i] as number;
    if (k < 0) {
      k = this.point(
        this.from[3 * i] as number,
        this.from[3 * i + 1] as number,
        this.from[3 * i + 2] as number,
      );
      this.known[i] = k;
    }
    return k;
  }

  point(x: number, y: number, z: number): number {
    this.xyz.push(x, y, z);
    return this.xyz.length / 3 - 1;
  }

  facet(a: number, b: number, c: number, skin: number): void {
    this.triangles.push(a, b, c);
    this.skin.push(skin);
  }

  body(): Body | null {
    if (!this.skin.includes(1)) return null;
    return {
      positions: Float64Array.from(this.xyz),
      triangles: Uint32Array.from(this.triangles),
      skin: Uint8Array.from(this.skin),
    };
  }
}

export interface Halves {
  readonly below: Body | null;
  readonly above: Body | null;
}

/**
 * Both sides of the plane dot(n, p) = offset. A vertex exactly in the plane counts as below, so
 * no case is special. A side without any skin is null. O(facets).
 */
export function clipBody(body: Body, n: Vec3, offset: number): Halves {
  const h = heightsAlong(body.positions, n);
  const vertices = h.length;
  const below = new Side(body.positions);
  const above = new Side(body.positions);
  const crossings = new Map<number, readonly [number, number]>();
  const rim: number[] = [];
  const p = body.positions;
  const cross = (i: number, j: number): readonly [number, number] => {
    // The lower index first, so that both facets of an edge compute the same point.
    const a = i < j ? i : j;
    const b = i < j ? j : i;
    const key = a * vertices + b;
    const known = crossings.get(key);
    if (known) return known;
    const s = (offset - (h[a] as number)) / ((h[b] as number) - (h[a] as number));
    const x = (p[3 * a] as number) + s * ((p[3 * b] as number) - (p[3 * a] as number));
    const y = (p[3 * a + 1] as number) + s * ((p[3 * b + 1] as number) - (p[3 * a + 1] as number));
    const z = (p[3 * a + 2] as number) + s * ((p[3 * b + 2] as number) - (p[3 * a + 2] as number));
    const made = [below.point(x, y, z), above.point(x, y, z)] as const;
    crossings.set(key, made);
    return made;
  };
  for (let t = 0; t < body.skin.length; t++) {
    const skin = body.skin[t] as number;
    const i = body.triangles[3 * t] as number;
    const j = body.triangles[3 * t + 1] as number;
    const k = body.triangles[3 * t + 2] as number;
    const ui = (h[i] as number) > offset;
    const uj = (h[j] as number) > offset;
    const uk = (h[k] as number) > offset;
    if (ui === uj && uj === uk) {
      const side = ui ? above : below;
      side.facet(side.old(i), side.old(j), side.old(k), skin);
      continue;
    }
    // (a, b, c) is (i, j, k) turned so that a stands alone on its side.
    const [a, b, c] = uj === uk ? [i, j, k] : ui === uk ? [j, k, i] : [k, i, j];
    const up = (h[a] as number) > offset ? 1 : 0;
    const alone = up ? above : below;
    const other = up ? below : above;
    const q = cross(a, b);
    const r = cross(a, c);
    alone.facet(alone.old(a), q[up], r[up], skin);
    other.facet(q[1 - up] as number, other.old(b), other.old(c), skin);
    other.facet(q[1 - up] as number, other.old(c), r[1 - up] as number, skin);
    // Seen from above the material lies left of the rim's direction.
    if (up) rim.push(q[0], q[1], r[0], r[1]);
    else rim.push(r[0], r[1], q[0], q[1]);
  }
  if (rim.length > 0) {
    const i = 3 * (rim[0] as number);
    const apex = [below.xyz[i], below.xyz[i + 1], below.xyz[i + 2]] as [number, number, number];
    const lower = below.point(...apex);
    const upper = above.point(...apex);
    for (let s = 0; s < rim.length; s += 4) {
      below.facet(lower, rim[s] as number, rim[s + 2] as number, 0);
      above.facet(upper, rim[s + 3] as number, rim[s + 1] as number, 0);
    }
  }
  return { below: below.body(), above: above.body() };
}
