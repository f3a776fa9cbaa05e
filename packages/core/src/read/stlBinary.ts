import { ScantlingError } from '../errors.ts';
import { MAX_FACETS } from './types.ts';
import { FacetWelder, tooManyFacets, type ReadBuffers } from './facetWelder.ts';

/**
 * Binary STL: an 80-byte header, a facet count (uint32, little-endian), then 50 bytes a facet:
 * normal and three corners as float32, and a uint16 that some programs use for colour. The normal
 * is not read: facets face the way their corners turn.
 */
export const HEADER_BYTES = 84;
export const FACET_BYTES = 50;

export class BinaryStl {
  readonly claimed: number;
  readonly welder: FacetWelder;
  /** Bytes beyond the claimed facets, and whether any of them is not zero. */
  spareBytes = 0;
  spareData = false;
  coloured = false;
  private facets = 0;
  /** A facet that is cut by a chunk's end waits here. */
  private readonly rest = new Uint8Array(FACET_BYTES);
  private restLength = 0;

  /** @param head the first 84 bytes or more @param dataBytes bytes of the real file, if known */
  constructor(head: Uint8Array, dataBytes: number | undefined, buffers?: ReadBuffers) {
    const view = new DataView(head.buffer, head.byteOffset, head.byteLength);
    this.claimed = view.getUint32(80, true);
    const present = Math.floor(((dataBytes ?? head.length) - HEADER_BYTES) / FACET_BYTES);
    const facets = Math.max(0, Math.min(this.claimed, present));
    if (facets > MAX_FACETS) throw tooManyFacets();
    this.welder = new FacetWelder(facets, buffers);
    this.coloured = hasColourHeader(head);
  }

  /** Takes facet data (what follows the first 84 bytes), cut anywhere. */
  push(chunk: Uint8Array): void {
    let at = 0;
    if (this.restLength > 0) {
      at = Math.min(FACET_BYTES - this.restLength, chunk.length);
      this.rest.set(chunk.subarray(0, at), this.restLength);
      this.restLength += at;
      if (this.restLength < FACET_BYTES) return;
      this.restLength = 0;
      this.take(this.rest);
    }
    const whole = Math.floor((chunk.length - at) / FACET_BYTES) * FACET_BYTES;
    if (whole > 0) this.take(chunk.subarray(at, at + whole));
    const left = chunk.subarray(at + whole);
    this.rest.set(left);
    this.restLength = left.length;
  }

  /** @throws ScantlingError `STL_TRUNCATED`, `STL_TOO_LONG` or `NO_FACETS` */
  finish(): void {
    this.spare(this.rest.subarray(0, this.restLength));
    const { claimed, facets } = this;
    if (facets < claimed)
      throw new ScantlingError(
        'STL_TRUNCATED',
        `The header claims ${claimed} facets (${HEADER_BYTES + FACET_BYTES * claimed} bytes), the file ends after ${facets}.`,
        {
          at: { byte: HEADER_BYTES + FACET_BYTES * facets + this.restLength },
          remedy: 'Fetch or export the file again; it was probably cut short.',
        },
      );
    if (this.spareBytes >= FACET_BYTES && this.spareData)
      throw new ScantlingError(
        'STL_TOO_LONG',
        `The header claims ${claimed} facets, but ${this.spareBytes} bytes follow them (room for ${Math.floor(this.spareBytes / FACET_BYTES)} more).`,
        {
          at: { byte: HEADER_BYTES + FACET_BYTES * claimed },
          remedy: 'Export the file again; facets would be lost by reading it as it is.',
        },
      );
    if (claimed === 0)
      throw new ScantlingError('NO_FACETS', 'The file holds no facets.', {
        at: { byte: 80 },
        remedy: 'Export the part again; nothing was written into this file.',
      });
  }

  /** Whole facets, or what stands where facets would. */
  private take(bytes: Uint8Array): void {
    const wanted = Math.min(bytes.length / FACET_BYTES, this.claimed - this.facets);
    if (wanted > 0) this.weld(bytes, wanted);
    if (wanted * FACET_BYTES < bytes.length) this.spare(bytes.subarray(wanted * FACET_BYTES));
  }

  private spare(bytes: Uint8Array): void {
    if (this.facets < this.claimed) return;
    this.spareBytes += bytes.length;
    this.spareData ||= bytes.some((b) => b !== 0);
  }

  private weld(bytes: Uint8Array, count: number): void {
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    const welder = this.welder;
    let attributes = 0;
    for (let i = 0, o = 12; i < count; i++, o += FACET_BYTES) {
      const a = this.corner(view, o, i);
      const b = this.corner(view, o + 12, i);
      const c = this.corner(view, o + 24, i);
      attributes |= view.getUint16(o + 36, true);
      welder.facet(a, b, c);
    }
    this.facets += count;
    if (attributes !== 0) this.coloured = true;
  }

  private corner(view: DataView, o: number, i: number): number {
    const x = view.getFloat32(o, true);
    const y = view.getFloat32(o + 4, true);
    const z = view.getFloat32(o + 8, true);
    // Only NaN and infinity do not vanish when multiplied by 0.
    if ((x + y + z) * 0 !== 0) throw this.notFinite([x, y, z], o, i);
    const point = this.welder.point;
    point[0] = x;
    point[1] = y;
    point[2] = z;
    return this.welder.vertex(
      hashWords(view.getInt32(o, true), view.getInt32(o + 4, true), view.getInt32(o + 8, true)),
    );
  }

  private notFinite(corner: readonly number[], o: number, i: number): ScantlingError {
    const k = corner.findIndex((x) => !Number.isFinite(x));
    const facet = this.facets + i;
    return new ScantlingError(
      'NOT_FINITE',
      `Facet ${facet + 1} has the coordinate ${corner[k] as number}.`,
      {
        at: { byte: HEADER_BYTES + FACET_BYTES * this.facets + o + 4 * k },
        remedy: 'Repair the mesh where it was made and export it again.',
      },
    );
  }
}

/** Hash of three float32 bit patterns; the sign of a zero is dropped. */
function hashWords(x: number, y: number, z: number): number {
  const u = x << 1 === 0 ? 0 : x;
  const v = y << 1 === 0 ? 0 : y;
  const w = z << 1 === 0 ? 0 : z;
  let h = Math.imul(u, 0x85ebca6b);
  h = ((h << 13) | (h >>> 19)) ^ Math.imul(v, 0xc2b2ae35);
  h = ((h << 11) | (h >>> 21)) ^ Math.imul(w, 0x27d4eb2f);
  return h ^ (h >>> 15);
}

/** One colour extension announces itself by `COLOR=` in the header. */
function hasColourHeader(head: Uint8Array): boolean {
  return String.fromCharCode(...head.subarray(0, 80)).includes('COLOR=');
}
