import { frameOf, type Mat3, type Vec3 } from '../math/index.ts';
import type { Mesh } from '../mesh/index.ts';

/**
 * A facet needs support when it leans out farther than the self-support angle by more than this.
 * It keeps faces that lie exactly at the limit (a cube standing on an edge, 45 degrees) on one
 * side of it, whatever the rounding of the file: single precision moves a facet a tenth of a
 * millimetre across, in a part of 100 mm, by some 0.005 degrees.
 */
export const TIE_DEG = 0.01;

/** Facet normals and areas, computed once per part; the normal of a facet without area is 0. */
export interface Facets {
  /** Outward unit normals, x, y, z per facet, part coordinates. */
  readonly normals: Float64Array;
  readonly areasMm2: Float64Array;
}

export function facetsOf(mesh: Mesh): Facets {
  const { positions: p, triangles: t } = mesh;
  const n = t.length / 3;
  const normals = new Float64Array(3 * n);
  const areasMm2 = new Float64Array(n);
  for (let f = 0; f < n; f++) {
    const a = 3 * (t[3 * f] as number);
    const b = 3 * (t[3 * f + 1] as number);
    const c = 3 * (t[3 * f + 2] as number);
    const ux = (p[b] as number) - (p[a] as number);
    const uy = (p[b + 1] as number) - (p[a + 1] as number);
    const uz = (p[b + 2] as number) - (p[a + 2] as number);
    const vx = (p[c] as number) - (p[a] as number);
    const vy = (p[c + 1] as number) - (p[a + 1] as number);
    const vz = (p[c + 2] as number) - (p[a + 2] as number);
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    const l = Math.sqrt(nx * nx + ny * ny + nz * nz);
    areasMm2[f] = l / 2;
    if (!(l > 0)) continue;
    normals[3 * f] = nx / l;
    normals[3 * f + 1] = ny / l;
    normals[3 * f + 2] = nz / l;
  }
  return { normals, areasMm2 };
}

/** What the evaluators of one part share: its surface, and buffers that every way up fills anew. */
export interface Body {
  readonly mesh: Mesh;
  readonly facets: Facets;
  /** A facet closes the space it bounds; false: columns are read as inside or outside only. */
  readonly closed: boolean;
  /** 1 per facet that should stay without scars; null when none is asked for. */
  readonly clean: Uint8Array | null;
  /** Vertex coordinates after the turn, and the facets' normals along up. Overwritten by `turn`. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
  readonly lean: Float64Array;
  readonly scratch: Scratch;
}

/** Crossings of columns, kept between calls: fresh memory costs more than the work itself. */
export interface Scratch {
  /** First crossing per column, -1 for none; then chained through `next`. */
  head: Int32Array;
  next: Int32Array;
  height: Float64Array;
  facet: Int32Array;
  order: Int32Array;
  /** Per cell the next one along its row, itself included, that is wanted; the row's length for none. */
  skip: Int16Array;
}

/** @param clean 1 per facet that should stay without scars, see `cleanFlags` */
export function bodyOf(
  mesh: Mesh,
  closed: boolean,
  clean: Uint8Array | null = null,
  facets = facetsOf(mesh),
): Body {
  const v = mesh.positions.length / 3;
  return {
    mesh,
    facets,
    closed,
    clean,
    x: new Float64Array(v),
    y: new Float64Array(v),
    z: new Float64Array(v),
    lean: new Float64Array(mesh.triangles.length / 3),
    scratch: {
      head: new Int32Array(0),
      next: new Int32Array(0),
      height: new Float64Array(0),
      facet: new Int32Array(0),
      order: new Int32Array(64),
      skip: new Int16Array(0),
    },
  };
}

/** Bounds of the part after a turn, mm, in the turned frame. */
export interface Turned {
  readonly x0: number;
  readonly x1: number;
  readonly y0: number;
  readonly y1: number;
  /** Height of the plate: the part's lowest point. */
  readonly z0: number;
  readonly z1: number;
}

/**
 * Yaw of the columns' grid against `frameOf(up)`, radians. An odd angle, so that walls along the
 * part's axes do not run along a row of columns and spoil a whole row at once.
 */
const GRID_YAW = 0.3819660112501051;

/** Rotation that brings the unit vector `up` onto +Z, with the grid turned by `yaw` radians. */
export function gridRotation(up: Vec3, yaw = GRID_YAW): Mat3 {
  const { u, v } = frameOf(up);
  const c = Math.cos(yaw);
  const s = Math.sin(yaw);
  return [
    c * u[0] + s * v[0], c * u[1] + s * v[1], c * u[2] + s * v[2],
    c * v[0] - s * u[0], c * v[1] - s * u[1], c * v[2] - s * u[2],
    up[0], up[1], up[2],
  ]; // prettier-ignore
}

/** Turns the part so that `up` (unit, part coordinates) points to +Z; fills x, y, z and `lean`. */
export function turn(body: Body, up: Vec3, yaw = GRID_YAW): Turned {
  const m = gridRotation(up, yaw);
  const [m0, m1, m2, m3, m4, m5, m6, m7, m8] = m;
  const { x, y, z, lean, mesh } = body;
  const p = mesh.positions;
  let x0 = Infinity, y0 = Infinity, z0 = Infinity; // prettier-ignore
  let x1 = -Infinity, y1 = -Infinity, z1 = -Infinity; // prettier-ignore
  for (let i = 0, j = 0; j < p.length; i++, j += 3) {
    const a = p[j] as number;
    const b = p[j + 1] as number;
    const c = p[j + 2] as number;
    const xi = m0 * a + m1 * b + m2 * c;
    const yi = m3 * a + m4 * b + m5 * c;
    const zi = m6 * a + m7 * b + m8 * c;
    x[i] = xi;
    y[i] = yi;
    z[i] = zi;
    if (xi < x0) x0 = xi;
    if (xi > x1) x1 = xi;
    if (yi < y0) y0 = yi;
    if (yi > y1) y1 = yi;
    if (zi < z0) z0 = zi;
    if (zi > z1) z1 = zi;
  }
  const n = body.facets.normals;
  for (let f = 0, j = 0; j < n.length; f++, j += 3)
    lean[f] = m6 * (n[j] as number) + m7 * (n[j + 1] as number) + m8 * (n[j + 2] as number);
  return { x0, x1, y0, y1, z0, z1 };
}

/**
 * The grid's yaw at which its rows run square to most of the wall area, radians: spans between
 * walls are then measured along the rows. Walls are facets within 12 degrees of upright.
 */
export function wallYaw(body: Body, up: Vec3): number {
  const { u, v } = frameOf(up);
  const { normals, areasMm2 } = body.facets;
  const bins = new Float64Array(WALL_BINS);
  const quarter = Math.PI / 2;
  for (let f = 0, j = 0; j < normals.length; f++, j += 3) {
    const x = normals[j] as number;
    const y = normals[j + 1] as number;
    const z = normals[j + 2] as number;
    if (Math.abs(x * up[0] + y * up[1] + z * up[2]) > 0.2) continue;
    const a = Math.atan2(x * v[0] + y * v[1] + z * v[2], x * u[0] + y * u[1] + z * u[2]);
    const turnShare = a / quarter - Math.floor(a / quarter);
    const bin = Math.floor(turnShare * WALL_BINS + 0.5) % WALL_BINS;
    (bins[bin] as number) += areasMm2[f] as number;
  }
  const best = bins.indexOf(Math.max(...bins));
  return (best / WALL_BINS) * quarter;
}

/** One degree each, over a quarter turn. */
const WALL_BINS = 90;
