import { ScantlingError } from '../errors.ts';
import type { ReadBuffers } from './facetWelder.ts';
import { WordWelder } from './wordWelder.ts';

/**
 * Binary STL: an 80-byte header, a facet count (uint32, little-endian), then 50 bytes a facet:
 * normal and three corners as float32, and a uint16 that some programs use for colour. The normal
 * is not read: facets face the way their corners turn.
 */
export const HEADER_BYTES = 84;
export const FACET_BYTES = 50;

export class BinaryStl {
  readonly claimed: number;
  readonly welder: WordWelder;
  /** Bytes beyond the claimed facets, and whether any of them is not zero. */
  spareBytes = 0;
  spareData = false;
  private readonly colourHeader: boolean;
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
    this.welder = new WordWelder(facets, buffers);
    this.colourHeader = hasColourHeader(head);
  }

  get coloured(): boolean {
    return this.colourHeader || this.welder.coloured;
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
    const bad = this.welder.weld(bytes, count);
    if (bad >= 0) throw this.notFinite(bytes, bad);
    this.facets += count;
  }

  private notFinite(bytes: Uint8Array, at: number): ScantlingError {
    const value = new DataView(bytes.buffer, bytes.byteOffset).getFloat32(at, true);
    const facet = this.facets + Math.floor(at / FACET_BYTES);
    return new ScantlingError('NOT_FINITE', `Facet ${facet + 1} has the coordinate ${value}.`, {
      at: { byte: HEADER_BYTES + FACET_BYTES * this.facets + at },
      remedy: 'Repair the mesh where it was made and export it again.',
    });
  }
}

/** One colour extension announces itself by `COLOR=` in the header. */
function hasColourHeader(head: Uint8Array): boolean {
  return String.fromCharCode(...head.subarray(0, 80)).includes('COLOR=');
}
