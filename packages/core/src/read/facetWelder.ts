import type { Mesh } from '../mesh/index.ts';
import { ScantlingError } from '../errors.ts';
import { MAX_FACETS } from './types.ts';

/**
 * The exact weld, done while facets come in: vertices are equal when their numbers are equal
 * (so -0 = 0), and each facet is stored as three indices. First touch of memory costs more than
 * the weld itself, so the arrays can be kept from one file to the next.
 */

/** Arrays that grow as needed and survive a read. Make one set per thread. */
export interface ReadBuffers {
  positions: Float64Array;
  triangles: Uint32Array;
  /**
   * Open-addressed, 2^bits places, 0 = free. Low bits: vertex index + 1; above them what the place
   * itself does not tell of the hash, so that other vertices are nearly always told apart here.
   */
  table: Int32Array;
  /** Float32 bit patterns of the vertices of binary STL, three per vertex. */
  words: Int32Array;
}

export const createReadBuffers = (): ReadBuffers => ({
  positions: new Float64Array(0),
  triangles: new Uint32Array(0),
  table: new Int32Array(0),
  words: new Int32Array(0),
});

const SMALLEST_TABLE = 1 << 10;
/** Share of the table's places that may be taken. */
export const FULL = 0.7;

/** A free table with room for so many vertices, in the kept one if that is large enough. */
export function tableFor(vertices: number, kept: Int32Array): Int32Array {
  let size = SMALLEST_TABLE;
  while (size < 1.6 * vertices) size *= 2;
  return kept.length >= size ? kept.subarray(0, size).fill(0) : new Int32Array(size);
}

/** The top bits of a hash say its place: shift it right by this much. */
export const shiftOf = (table: Int32Array): number => 32 - Math.log2(table.length);

/** A table twice as large with the same vertices. */
export function doubledTable(old: Int32Array, vertices: number, hashOf: (v: number) => number) {
  const table = new Int32Array(2 * old.length);
  const mask = table.length - 1;
  const shift = shiftOf(table);
  for (let v = 0; v < vertices; v++) {
    const hash = hashOf(v);
    let s = hash >>> shift;
    while (table[s] !== 0) s = (s + 1) & mask;
    table[s] = (hash << (32 - shift)) | (v + 1);
  }
  return table;
}

export class FacetWelder {
  vertices = 0;
  /** Indices written so far: three per facet. */
  corners = 0;
  positions: Float64Array;
  triangles: Uint32Array;
  /** The vertex that `vertex` looks up next. */
  readonly point = new Float64Array(3);
  private table: Int32Array;
  private bits: number;
  private limit: number;
  private readonly buffers: ReadBuffers;
  private readonly kept: boolean;

  /** @param expectedFacets what the size of the real data allows, never what a header claims. */
  constructor(expectedFacets: number, buffers?: ReadBuffers) {
    this.kept = buffers !== undefined;
    this.buffers = buffers ?? createReadBuffers();
    const facets = Math.max(64, Math.min(expectedFacets, MAX_FACETS));
    // A closed mesh has half as many vertices as facets.
    const vertices = Math.ceil(facets * 0.55) + 16;
    const kept = this.buffers;
    this.triangles = kept.triangles.length >= 3 * facets ? kept.triangles : new Uint32Array(3 * facets); // prettier-ignore
    this.positions = kept.positions.length >= 3 * vertices ? kept.positions : new Float64Array(3 * vertices); // prettier-ignore
    this.table = tableFor(vertices, kept.table);
    this.bits = 32 - shiftOf(this.table);
    this.limit = Math.floor(this.table.length * FULL);
  }

  /** Index of the vertex (x, y, z); for callers that are not pressed for time. */
  vertexAt(x: number, y: number, z: number): number {
    this.point[0] = x;
    this.point[1] = y;
    this.point[2] = z;
    return this.vertex(hashDoubles(x, y, z));
  }

  /**
   * Index of the vertex that stands in `point`; `hash` must be equal for equal numbers, -0 and 0
   * included. Doubles given as arguments would be boxed one by one: a fifth of all the time.
   */
  vertex(hash: number): number {
    const { table, positions, bits, point } = this;
    const x = point[0] as number;
    const y = point[1] as number;
    const z = point[2] as number;
    const mask = table.length - 1;
    const tag = hash << bits;
    let s = hash >>> (32 - bits);
    for (let entry = table[s] as number; entry !== 0; entry = table[s] as number) {
      if ((entry ^ tag) >>> bits === 0) {
        const v = (entry & mask) - 1;
        if (positions[3 * v] === x && positions[3 * v + 1] === y && positions[3 * v + 2] === z) return v; // prettier-ignore
      }
      s = (s + 1) & mask;
    }
    const v = this.vertices++;
    table[s] = tag | (v + 1);
    if (3 * v + 3 > positions.length) this.growVertices();
    // Adding 0 turns -0 into 0.
    this.positions[3 * v] = x + 0;
    this.positions[3 * v + 1] = y + 0;
    this.positions[3 * v + 2] = z + 0;
    if (this.vertices > this.limit) this.growTable();
    return v;
  }

  facet(a: number, b: number, c: number): void {
    const n = this.corners;
    if (n + 3 > this.triangles.length) this.growTriangles();
    const triangles = this.triangles;
    triangles[n] = a;
    triangles[n + 1] = b;
    triangles[n + 2] = c;
    this.corners = n + 3;
  }

  /**
   * The welded mesh, each number times `factor`. It lives in the kept buffers if there are any;
   * otherwise it owns arrays of just its own length.
   */
  mesh(factor: number): Mesh {
    const used = 3 * this.vertices;
    if (factor !== 1) for (let i = 0; i < used; i++) (this.positions[i] as number) *= factor;
    if (this.kept) {
      const kept = this.buffers;
      kept.positions = this.positions;
      kept.triangles = this.triangles;
      if (this.table.length > kept.table.length) kept.table = this.table;
    }
    return meshFrom(this.positions, used, this.triangles, this.corners, this.kept);
  }

  private growVertices(): void {
    const positions = new Float64Array(Math.ceil(this.positions.length * 1.6) + 192);
    positions.set(this.positions);
    this.positions = positions;
  }

  private growTriangles(): void {
    if (this.corners / 3 >= MAX_FACETS) throw tooManyFacets();
    const triangles = new Uint32Array(Math.ceil(this.triangles.length / 3) * 6);
    triangles.set(this.triangles);
    this.triangles = triangles;
  }

  private growTable(): void {
    const p = this.positions;
    this.table = doubledTable(this.table, this.vertices, (v) =>
      hashDoubles(p[3 * v] as number, p[3 * v + 1] as number, p[3 * v + 2] as number),
    );
    this.bits++;
    this.limit = Math.floor(this.table.length * FULL);
  }
}

export const tooManyFacets = (): ScantlingError =>
  new ScantlingError('TOO_MANY_FACETS', `More than ${MAX_FACETS} facets.`, {
    remedy: 'Reduce the mesh, or cut it into several files.',
  });

/** The used part of the arrays: a view of kept ones, else arrays of just that length. */
export function meshFrom(
  positions: Float64Array,
  used: number,
  triangles: Uint32Array,
  corners: number,
  kept: boolean,
): Mesh {
  return kept
    ? { positions: positions.subarray(0, used), triangles: triangles.subarray(0, corners) }
    : { positions: exactly(positions, used), triangles: exactly(triangles, corners) };
}

function exactly<T extends Float64Array | Uint32Array>(array: T, length: number): T {
  return (array.length === length ? array : array.slice(0, length)) as T;
}

const doubles = new Float64Array(3);
const words = new Int32Array(doubles.buffer);

function hashDoubles(x: number, y: number, z: number): number {
  const point = doubles;
  point[0] = x;
  point[1] = y;
  point[2] = z;
  return hashPoint(point);
}

/** Hash of three doubles; -0 counts as 0. */
export function hashPoint(point: Float64Array): number {
  // Adding 0 turns -0 into 0.
  doubles[0] = (point[0] as number) + 0;
  doubles[1] = (point[1] as number) + 0;
  doubles[2] = (point[2] as number) + 0;
  let h = Math.imul(words[0] as number, 0x85ebca6b) ^ Math.imul(words[1] as number, 0xc2b2ae35);
  h = (h << 13) | (h >>> 19);
  h ^= Math.imul(words[2] as number, 0x27d4eb2f) ^ Math.imul(words[3] as number, 0x165667b1);
  h = (h << 11) | (h >>> 21);
  h ^= Math.imul(words[4] as number, 0x9e3779b1) ^ Math.imul(words[5] as number, 0x85ebca77);
  // The last product mixes into the top bits, which say a vertex's place in the table.
  return Math.imul(h ^ (h >>> 15), 0x9e3779b1);
}
