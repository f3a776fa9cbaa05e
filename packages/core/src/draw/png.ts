import { zlibSync } from 'fflate';

/**
 * A PNG (ISO/IEC 15948) of at most 16 tones of one colour over whatever lies below: palette images
 * of four bits per pixel with an alpha per entry. Smaller by far than true colour.
 *
 * @param tones one tone number per pixel, row by row from the top
 * @param palette red, green, blue, alpha per tone, 0..255
 */
export function tonePng(
  tones: Uint8Array,
  width: number,
  height: number,
  palette: readonly (readonly [number, number, number, number])[],
): Uint8Array {
  const stride = Math.ceil(width / 2);
  const raw = new Uint8Array(height * (stride + 1));
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      const at = y * (stride + 1) + 1 + (x >> 1);
      raw[at] = (raw[at] as number) | ((tones[y * width + x] as number) << (x & 1 ? 0 : 4));
    }
  const header = new Uint8Array(13);
  const view = new DataView(header.buffer);
  view.setUint32(0, width);
  view.setUint32(4, height);
  header.set([4, 3, 0, 0, 0], 8);
  const chunks = [
    chunk('IHDR', header),
    chunk('PLTE', Uint8Array.from(palette.flatMap((c) => c.slice(0, 3)))),
    chunk('tRNS', Uint8Array.from(palette.map((c) => c[3]))),
    chunk('IDAT', zlibSync(raw, { level: 9 })),
    chunk('IEND', new Uint8Array(0)),
  ];
  const out = new Uint8Array(8 + chunks.reduce((sum, c) => sum + c.length, 0));
  out.set([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
  let at = 8;
  for (const c of chunks) {
    out.set(c, at);
    at += c.length;
  }
  return out;
}

function chunk(type: string, data: Uint8Array): Uint8Array {
  const out = new Uint8Array(data.length + 12);
  const view = new DataView(out.buffer);
  view.setUint32(0, data.length);
  for (let i = 0; i < 4; i++) out[4 + i] = type.charCodeAt(i);
  out.set(data, 8);
  view.setUint32(8 + data.length, crc32(out.subarray(4, 8 + data.length)));
  return out;
}

const CRC = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c >>> 0;
});

/** CRC-32 as PNG wants it (ISO/IEC 15948, annex D). */
function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (const byte of bytes) c = (CRC[(c ^ byte) & 255] as number) ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}

const ALPHABET = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';

/** Base64 (RFC 4648), for data addresses inside a page. */
export function base64(bytes: Uint8Array): string {
  const out: string[] = [];
  for (let i = 0; i < bytes.length; i += 3) {
    const [a, b, c] = [bytes[i] as number, bytes[i + 1], bytes[i + 2]];
    out.push(
      ALPHABET[a >> 2] as string,
      ALPHABET[((a & 3) << 4) | ((b ?? 0) >> 4)] as string,
      b === undefined ? '=' : (ALPHABET[((b & 15) << 2) | ((c ?? 0) >> 6)] as string),
      c === undefined ? '=' : (ALPHABET[c & 63] as string),
    );
  }
  return out.join('');
}
