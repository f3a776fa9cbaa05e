import { Inflate } from 'fflate';
import { ScantlingError } from '../errors.ts';

/**
 * Zip archives, read from their directory at the end (PKWARE APPNOTE 6.3, sections 4.3 and 4.5).
 * The inflating is fflate's; the directory is read here, because sizes in it are claims: nothing
 * is allocated or believed on their word, and every entry is unpacked as a stream under limits.
 */
export interface ZipEntry {
  readonly name: string;
  readonly method: number;
  readonly crc: number;
  /** As the directory claims. */
  readonly packedBytes: number;
  readonly bytes: number;
  /** Where the entry's data begins in the archive. */
  readonly start: number;
}

export interface ZipLimits {
  readonly entries: number;
  /** Unpacked bytes of one entry. */
  readonly entryBytes: number;
  /** Unpacked bytes for each packed byte; deflate itself cannot pass 1032. */
  readonly ratio: number;
  /** An entry may unpack to this many bytes whatever its ratio. */
  readonly freeBytes: number;
}

/** Text of a mesh packs 4 to 15 times; 200 leaves room for very regular ones. */
export const ZIP_LIMITS: ZipLimits = {
  entries: 10_000,
  entryBytes: 2 ** 31,
  ratio: 200,
  freeBytes: 1 << 20,
};

const END = 0x06054b50;
const END_64 = 0x06064b50;
const LOCATOR_64 = 0x07064b50;
const CENTRAL = 0x02014b50;
const LOCAL = 0x04034b50;
/** Packed bytes handed over at once: at most 16 MB come out of them. */
const STEP = 1 << 14;

/**
 * The archive's entries by name, folders left out.
 * @throws ScantlingError `ZIP_DAMAGED`, `ZIP_LIMIT`, `ZIP_ENCRYPTED`
 */
export function zipDirectory(bytes: Uint8Array, limits = ZIP_LIMITS): Map<string, ZipEntry> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let at = bytes.length - 22;
  const stop = Math.max(0, at - 0xffff);
  while (at >= stop && view.getUint32(at, true) !== END) at--;
  if (at < stop || at < 0) throw damaged('The archive has no directory at its end.', bytes.length);
  let count = view.getUint16(at + 10, true);
  let offset = view.getUint32(at + 16, true);
  if (at >= 20 && view.getUint32(at - 20, true) === LOCATOR_64) {
    const far = Number(view.getBigUint64(at - 12, true));
    if (far > bytes.length - 56 || view.getUint32(far, true) !== END_64) throw damaged('The archive has no directory where it says.', at); // prettier-ignore
    count = Number(view.getBigUint64(far + 32, true));
    offset = Number(view.getBigUint64(far + 48, true));
  }
  if (count > limits.entries)
    throw new ScantlingError('ZIP_LIMIT', `The archive claims ${count} entries; ${limits.entries} are allowed.`, { at: { byte: at }, remedy: 'Check where this file comes from.' }); // prettier-ignore
  const entries = new Map<string, ZipEntry>();
  for (let i = 0; i < count; i++) {
    if (offset > bytes.length - 46 || view.getUint32(offset, true) !== CENTRAL) throw damaged('An entry of the directory is missing.', Math.min(offset, bytes.length)); // prettier-ignore
    const nameBytes = view.getUint16(offset + 28, true);
    const extraBytes = view.getUint16(offset + 30, true);
    const next = offset + 46 + nameBytes + extraBytes + view.getUint16(offset + 32, true);
    if (next > bytes.length) throw damaged('The directory is cut short.', offset);
    const name = new TextDecoder().decode(bytes.subarray(offset + 46, offset + 46 + nameBytes));
    if (view.getUint16(offset + 8, true) & 1)
      throw new ScantlingError('ZIP_ENCRYPTED', `Entry "${name}" is encrypted.`, { at: { byte: offset }, remedy: 'Save the file without a password.' }); // prettier-ignore
    const wide = wideSizes(view, offset, offset + 46 + nameBytes, extraBytes);
    if (!name.endsWith('/'))
      entries.set(name, {
        name,
        method: view.getUint16(offset + 10, true),
        crc: view.getUint32(offset + 16, true),
        packedBytes: wide.packed,
        bytes: wide.unpacked,
        start: dataStart(view, wide.local),
      });
    offset = next;
  }
  return entries;
}

/** Sizes and place of an entry, from its Zip64 field where the short ones are full. */
function wideSizes(view: DataView, entry: number, extra: number, extraBytes: number) {
  let packed = view.getUint32(entry + 20, true);
  let unpacked = view.getUint32(entry + 24, true);
  let local = view.getUint32(entry + 42, true);
  for (let i = extra; i + 4 <= extra + extraBytes;) {
    const end = i + 4 + view.getUint16(i + 2, true);
    if (view.getUint16(i, true) === 1 && end <= extra + extraBytes) {
      let j = i + 4;
      const take = (short: number): number => {
        if (short !== 0xffffffff || j + 8 > end) return short;
        j += 8;
        return Number(view.getBigUint64(j - 8, true));
      };
      unpacked = take(unpacked);
      packed = take(packed);
      local = take(local);
    }
    i = end;
  }
  return { packed, unpacked, local };
}

function dataStart(view: DataView, local: number): number {
  if (local > view.byteLength - 30 || view.getUint32(local, true) !== LOCAL) throw damaged('An entry is not where the directory says.', Math.min(local, view.byteLength)); // prettier-ignore
  return local + 30 + view.getUint16(local + 26, true) + view.getUint16(local + 28, true);
}

/**
 * Unpacks one entry piece by piece and checks its length and CRC-32.
 * @throws ScantlingError `ZIP_DAMAGED`, `ZIP_LIMIT`, `ZIP_METHOD`; and whatever `take` throws
 */
export function unpackEntry(
  bytes: Uint8Array,
  entry: ZipEntry,
  take: (piece: Uint8Array) => void,
  limits = ZIP_LIMITS,
): void {
  const end = entry.start + entry.packedBytes;
  if (end > bytes.length) throw damaged(`Entry "${entry.name}" is cut short.`, bytes.length);
  const most = Math.min(limits.entryBytes, Math.max(limits.freeBytes, entry.packedBytes * limits.ratio)); // prettier-ignore
  let crc = 0;
  let length = 0;
  const give = (piece: Uint8Array): void => {
    length += piece.length;
    if (length > most)
      throw new ScantlingError('ZIP_LIMIT', `Entry "${entry.name}" unpacks to more than ${most} bytes.`, { at: { byte: entry.start }, remedy: 'This looks like a zip bomb; do not unpack it.' }); // prettier-ignore
    crc = crc32(crc, piece);
    take(piece);
  };
  if (entry.method === 0) for (let i = entry.start; i < end; i += STEP) give(bytes.subarray(i, Math.min(end, i + STEP))); // prettier-ignore
  else if (entry.method === 8) inflate(bytes, entry, give);
  else
    throw new ScantlingError('ZIP_METHOD', `Entry "${entry.name}" is packed with method ${entry.method}; only stored and deflated entries are read.`, { at: { byte: entry.start }, remedy: 'Save the file again with ordinary zip compression.' }); // prettier-ignore
  if (length !== entry.bytes || crc !== entry.crc) throw damaged(`Entry "${entry.name}" does not match its checksum.`, entry.start); // prettier-ignore
}

function inflate(bytes: Uint8Array, entry: ZipEntry, give: (piece: Uint8Array) => void): void {
  const end = entry.start + entry.packedBytes;
  const stream = new Inflate((piece) => give(piece));
  try {
    for (let i = entry.start; i < end; i += STEP) stream.push(bytes.subarray(i, Math.min(end, i + STEP)), i + STEP >= end); // prettier-ignore
  } catch (error) {
    // fflate marks its own errors with a numeric code; everything else goes on its way.
    if (typeof (error as { code?: unknown }).code === 'number') throw damaged(`Entry "${entry.name}" cannot be unpacked.`, entry.start); // prettier-ignore
    throw error;
  }
}

const damaged = (message: string, byte: number): ScantlingError =>
  new ScantlingError('ZIP_DAMAGED', message, {
    at: { byte },
    remedy: 'Fetch or export the file again.',
  });

const CRC_TABLE = Int32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c;
});

/** CRC-32 as zip uses it (reflected, polynomial 0xEDB88320), carried on from `crc`. */
export function crc32(crc: number, bytes: Uint8Array): number {
  let c = ~crc;
  for (let i = 0; i < bytes.length; i++) c = (CRC_TABLE[(c ^ (bytes[i] as number)) & 255] as number) ^ (c >>> 8); // prettier-ignore
  return ~c >>> 0;
}
