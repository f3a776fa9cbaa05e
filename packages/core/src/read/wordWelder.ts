import type { Mesh } from '../mesh/index.ts';
import { MAX_FACETS } from './types.ts';
import {
  createReadBuffers,
  doubledTable,
  FULL,
  meshFrom,
  shiftOf,
  tableFor,
  tooManyFacets,
  type ReadBuffers,
} from './facetWelder.ts';

/**
 * The exact weld of binary STL, done on the float32 bit patterns themselves: finite numbers are
 * equal just when their bits are, once -0 is written as 0. Nothing is converted until the end,
 * where each number is widened once.
 *
 * The table of vertices is far larger than the caches, and the wait for its memory is most of the
 * cost. Facets are therefore taken in blocks: hash all corners, touch all their places in the table
 * (waits overlap, as nothing depends on what comes), then look them up.
 */
const FACET_BYTES = 50;
const BLOCK_FACETS = 64;
const MINUS_ZERO = 0x80000000 | 0;
const EXPONENT = 0x7f800000;

export class WordWelder {
  vertices = 0;
  /** Indices written so far: three per facet. */
  corners = 0;
  /** Whether any facet carried a colour. */
  coloured = false;
  private words: Int32Array;
  private triangles: Uint32Array;
  private table: Int32Array;
  /** Never read: keeps the touching of the table from being optimised away. */
  touched = 0;
  private readonly block = new Int32Array(9 * BLOCK_FACETS);
  private readonly hashes = new Int32Array(3 * BLOCK_FACETS);
  private readonly buffers: ReadBuffers;
  private readonly kept: boolean;

  /** @param facets what the size of the real data allows, never what a header claims. */
  constructor(facets: number, buffers?: ReadBuffers) {
    if (facets > MAX_FACETS) throw tooManyFacets();
    this.kept = buffers !== undefined;
    const kept = (this.buffers = buffers ?? createReadBuffers());
    // A closed mesh has half as many vertices as facets.
    const vertices = Math.ceil(Math.max(64, facets) * 0.55) + 16;
    this.triangles = kept.triangles.length >= 3 * facets ? kept.triangles : new Uint32Array(3 * facets); // prettier-ignore
    this.words = kept.words.length >= 3 * vertices ? kept.words : new Int32Array(3 * vertices);
    this.table = tableFor(vertices, kept.table);
  }

  /**
   * Welds whole facets of 50 bytes.
   * @returns -1, or where in the bytes a coordinate stands that is not finite
   */
  weld(bytes: Uint8Array, facets: number): number {
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    if (this.corners + 3 * facets > this.triangles.length) this.growTriangles(3 * facets);
    for (let done = 0; done < facets; done += BLOCK_FACETS) {
      const count = Math.min(BLOCK_FACETS, facets - done);
      this.makeRoom(3 * count);
      this.takeBlock(view, done * FACET_BYTES, count);
      const bad = this.lookUp(3 * count);
      if (bad >= 0) {
        const corner = Math.floor(bad / 3);
        return (done + Math.floor(corner / 3)) * FACET_BYTES + 12 + 12 * (corner % 3) + 4 * (bad % 3); // prettier-ignore
      }
    }
    return -1;
  }

  /** Copies a block's corners out of the file's bytes, hashes them and touches their places. */
  private takeBlock(view: DataView, from: number, facets: number): void {
    const { block, hashes, table } = this;
    const end = from + facets * FACET_BYTES;
    let attributes = 0;
    let k = 0;
    let j = 0;
    for (let facet = from; facet < end; facet += FACET_BYTES) {
      attributes |= view.getUint16(facet + 48, true);
      for (let o = facet + 12; o < facet + 48; o += 12, j += 3) {
        let x = view.getInt32(o, true);
        let y = view.getInt32(o + 4, true);
        let z = view.getInt32(o + 8, true);
        if (x === MINUS_ZERO) x = 0;
        if (y === MINUS_ZERO) y = 0;
        if (z === MINUS_ZERO) z = 0;
        block[j] = x;
        block[j + 1] = y;
        block[j + 2] = z;
        hashes[k++] = hashWords(x, y, z);
      }
    }
    if (attributes !== 0) this.coloured = true;
    const shift = shiftOf(table);
    let touched = 0;
    for (let i = 0; i < k; i++) touched |= table[(hashes[i] as number) >>> shift] as number;
    this.touched |= touched;
  }

  /** @returns -1, or which number of the block is not finite */
  private lookUp(count: number): number {
    const { block, hashes, table, words, triangles } = this;
    let { vertices, corners } = this;
    const mask = table.length - 1;
    const shift = shiftOf(table);
    const bits = 32 - shift;
    for (let i = 0, j = 0; i < count; i++, j += 3) {
      const x = block[j] as number;
      const y = block[j + 1] as number;
      const z = block[j + 2] as number;
      const hash = hashes[i] as number;
      const tag = hash << bits;
      let s = hash >>> shift;
      let v = -1;
      for (let entry = table[s] as number; entry !== 0; entry = table[s] as number) {
        if ((entry ^ tag) >>> bits === 0) {
          v = (entry & mask) - 1;
          if (words[3 * v] === x && words[3 * v + 1] === y && words[3 * v + 2] === z) break;
          v = -1;
        }
        s = (s + 1) & mask;
      }
      if (v < 0) {
        // What is not finite differs from every vertex before it, so looking here is enough.
        if ((x & EXPONENT) === EXPONENT) return j;
        if ((y & EXPONENT) === EXPONENT) return j + 1;
        if ((z & EXPONENT) === EXPONENT) return j + 2;
        v = vertices++;
        table[s] = tag | (v + 1);
        words[3 * v] = x;
        words[3 * v + 1] = y;
        words[3 * v + 2] = z;
      }
      triangles[corners++] = v;
    }
    this.vertices = vertices;
    this.corners = corners;
    return -1;
  }

  /** As `FacetWelder.mesh`. */
  mesh(factor: number): Mesh {
    const used = 3 * this.vertices;
    const kept = this.buffers;
    kept.words = this.words;
    kept.triangles = this.triangles;
    if (this.table.length > kept.table.length) kept.table = this.table;
    if (kept.positions.length < used) kept.positions = new Float64Array(used);
    const positions = kept.positions;
    const floats = new Float32Array(this.words.buffer, this.words.byteOffset, used);
    for (let i = 0; i < used; i++) positions[i] = (floats[i] as number) * factor;
    return meshFrom(positions, used, this.triangles, this.corners, this.kept);
  }

  private growTriangles(more: number): void {
    if (this.corners + more > 3 * MAX_FACETS) throw tooManyFacets();
    const triangles = new Uint32Array(2 * this.triangles.length + more);
    triangles.set(this.triangles);
    this.triangles = triangles;
  }

  /** Room for so many vertices more. */
  private makeRoom(more: number): void {
    const wanted = this.vertices + more;
    if (3 * wanted > this.words.length) {
      const words = new Int32Array(Math.ceil(4.8 * wanted));
      words.set(this.words);
      this.words = words;
    }
    if (wanted <= FULL * this.table.length) return;
    const { words } = this;
    this.table = doubledTable(this.table, this.vertices, (v) =>
      hashWords(words[3 * v] as number, words[3 * v + 1] as number, words[3 * v + 2] as number),
    );
  }
}

function hashWords(x: number, y: number, z: number): number {
  let h = Math.imul(x, 0x85ebca6b);
  h = ((h << 13) | (h >>> 19)) ^ Math.imul(y, 0xc2b2ae35);
  h = ((h << 11) | (h >>> 21)) ^ Math.imul(z, 0x27d4eb2f);
  return Math.imul(h ^ (h >>> 15), 0x9e3779b1);
}
