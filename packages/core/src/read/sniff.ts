import { ScantlingError } from '../errors.ts';
import { FACET_BYTES, HEADER_BYTES } from './stlBinary.ts';

/**
 * What the bytes are, decided by the bytes alone. Binary STL has no mark of its own and often
 * begins with the word `solid`, so the facet count decides: bytes 80 to 83 of a text are letters,
 * digits or blanks, and read as a count they would claim at least 0x09090909 = 151 million facets
 * (7.5 GB). A real binary file's count below that holds a byte that text never holds.
 */
export type Content = 'stl-binary' | 'stl-ascii' | 'obj' | 'zip';

/** As many bytes from the front of a file as the decision wants; fewer only if the file has fewer. */
export const SNIFF_BYTES = 2048;

/** Files that turn up under a mesh's name: first bytes, code, what it is, what to do. */
const STRANGERS: readonly (readonly [readonly number[], string, string, string])[] = [
  [[0x1f, 0x8b], 'COMPRESSED', 'a gzip archive', 'Unpack it first.'],
  [[0x37, 0x7a, 0xbc, 0xaf], 'COMPRESSED', 'a 7z archive', 'Unpack it first.'],
  [[0x52, 0x61, 0x72, 0x21], 'COMPRESSED', 'a RAR archive', 'Unpack it first.'],
  [[0x25, 0x50, 0x44, 0x46], 'NOT_A_MESH', 'a PDF document', 'Ask for the mesh file itself.'],
  [[0x89, 0x50, 0x4e, 0x47], 'NOT_A_MESH', 'a PNG picture', 'Ask for the mesh file itself.'],
  [[0xff, 0xd8, 0xff], 'NOT_A_MESH', 'a JPEG picture', 'Ask for the mesh file itself.'],
  [[0xff, 0xfe], 'UTF16_TEXT', 'text in UTF-16', 'Save it as plain ASCII or UTF-8 text.'],
  [[0xfe, 0xff], 'UTF16_TEXT', 'text in UTF-16', 'Save it as plain ASCII or UTF-8 text.'],
];

const ZIP_START = [0x50, 0x4b, 0x03, 0x04];
const ZIP_EMPTY = [0x50, 0x4b, 0x05, 0x06];

/** First words of an OBJ file's lines. */
const OBJ_WORDS = /^(v|vt|vn|vp|f|o|g|s|l|p|mtllib|usemtl)$/;

/**
 * @param head the first `SNIFF_BYTES` of the file, or all of it
 * @param totalBytes size of the real file, if known
 * @param name only its ending is looked at, and only when a text could be anything
 * @throws ScantlingError `EMPTY_FILE`, `HTML_PAGE`, `COMPRESSED`, `UTF16_TEXT`, `TEXT_MANGLED`,
 * `NOT_A_MESH`, `NO_FACETS` or `STL_TRUNCATED`
 */
export function sniff(head: Uint8Array, totalBytes: number | undefined, name = ''): Content {
  if (head.length === 0)
    throw new ScantlingError('EMPTY_FILE', 'The file is empty.', {
      at: { byte: 0 },
      remedy: 'Fetch or export it again.',
    });
  const size = totalBytes ?? (head.length < SNIFF_BYTES ? head.length : undefined);
  // A size that matches the count to the byte outweighs whatever the header says.
  if (size !== undefined && size >= HEADER_BYTES && size === HEADER_BYTES + FACET_BYTES * countIn(head)) return 'stl-binary'; // prettier-ignore
  if (startsWith(head, ZIP_START) || startsWith(head, ZIP_EMPTY)) return 'zip';
  for (const [mark, code, what, remedy] of STRANGERS)
    if (startsWith(head, mark))
      throw new ScantlingError(code, `This is ${what}, not a mesh.`, { at: { byte: 0 }, remedy });
  return isText(head) ? sniffText(head, name) : sniffBinary(head, size);
}

function sniffBinary(head: Uint8Array, size: number | undefined): Content {
  if (size !== undefined && size < HEADER_BYTES)
    throw new ScantlingError(
      'STL_TRUNCATED',
      `Only ${size} bytes; a binary STL has a header of ${HEADER_BYTES}.`,
      { at: { byte: size }, remedy: 'Fetch or export the file again; it was probably cut short.' },
    );
  if (size !== undefined && countReplaced(head) >= 3)
    throw new ScantlingError(
      'TEXT_MANGLED',
      'Some program took this binary file for text and replaced bytes it did not know.',
      { at: { byte: 0 }, remedy: 'Fetch it again as a binary file; this copy cannot be mended.' },
    );
  return 'stl-binary';
}

/** How often the UTF-8 form of the replacement character U+FFFD stands in the bytes. */
function countReplaced(head: Uint8Array): number {
  let n = 0;
  for (let i = 0; i + 2 < head.length; i++)
    if (head[i] === 0xef && head[i + 1] === 0xbf && head[i + 2] === 0xbd) n++;
  return n;
}

function sniffText(head: Uint8Array, name: string): Content {
  const text = new TextDecoder('utf-8').decode(head).replace(/^\ufeff/, '');
  if (/^\s*(<!--[\s\S]*?-->\s*)*(<\?xml[^>]*>\s*)?(<!doctype\s+html|<html|<head|<body)/i.test(text))
    throw new ScantlingError('HTML_PAGE', 'This is a web page, not a mesh.', {
      at: { line: 1 },
      remedy: 'The download saved the page instead of the file: use the download link on the page.',
    });
  const lines = text.split(/[\r\n]+/).map((line) => line.trim());
  const first = lines.find((line) => line !== '' && !line.startsWith('#')) ?? '';
  const word = first.split(/\s/)[0] ?? '';
  if (/^(solid|facet)$/i.test(word)) return 'stl-ascii';
  if (OBJ_WORDS.test(word) || /\.obj$/i.test(name)) return 'obj';
  if (word === '')
    throw new ScantlingError('NO_FACETS', 'The file holds no facets, only blanks or remarks.', {
      at: { line: 1 },
      remedy: 'Export the part again; nothing was written into this file.',
    });
  throw new ScantlingError('NOT_A_MESH', 'This text is neither STL nor OBJ.', {
    at: { line: 1 },
    remedy: 'Check what kind of file this is.',
  });
}

const countIn = (head: Uint8Array): number =>
  new DataView(head.buffer, head.byteOffset, head.byteLength).getUint32(80, true);

const startsWith = (bytes: Uint8Array, mark: readonly number[]): boolean =>
  mark.every((b, i) => bytes[i] === b);

/** No byte that text never holds (controls other than tab and line ends) near the front. */
function isText(head: Uint8Array): boolean {
  for (let i = 0; i < Math.min(head.length, 512); i++) {
    const b = head[i] as number;
    if (b < 9 || (b > 13 && b < 32)) return false;
  }
  return true;
}
