import { ScantlingError } from '../errors.ts';
import { MM_PER_UNIT } from '../units.ts';
import { AsciiStl } from './stlAscii.ts';
import { BinaryStl, HEADER_BYTES } from './stlBinary.ts';
import { finishPart, wrongEnding } from './part.ts';
import { sniff, SNIFF_BYTES } from './sniff.ts';
import type { PartReader, ReadNote, ReadOptions, ReadPart } from './types.ts';

/**
 * Reader of STL, binary or ASCII, fed in chunks of any size; several solids in one file make one
 * part. Memory grows with the bytes that came, never with what a header claims.
 * @throws ScantlingError from `push` or `finish`: `EMPTY_FILE`, `STL_TRUNCATED`, `STL_TOO_LONG`,
 * `NO_FACETS`, `NOT_FINITE`, `BAD_NUMBER`, `BAD_TEXT`, `FACET_VERTEX_COUNT`, `TOO_MANY_FACETS`,
 * `HTML_PAGE`, `COMPRESSED`, `ZIP_ARCHIVE`, `UTF16_TEXT` or `NOT_A_MESH`
 * @example
 * const reader = stlReader({ name: 'boot.stl' });
 * for (const chunk of chunks) reader.push(chunk);
 * const [part] = reader.finish(); // part.mesh in mm
 */
export function stlReader(options: ReadOptions = {}): PartReader {
  const head = new Uint8Array(SNIFF_BYTES);
  let headBytes = 0;
  let body: BinaryStl | AsciiStl | undefined;

  const begin = (): BinaryStl | AsciiStl => {
    const start = head.subarray(0, headBytes);
    const content = sniff(start, options.totalBytes, options.name);
    if (content === 'zip')
      throw new ScantlingError('ZIP_ARCHIVE', 'This is a zip archive, not an STL.', {
        at: { byte: 0 },
        remedy: 'Unpack it first.',
      });
    if (content === 'obj')
      throw new ScantlingError('NOT_A_MESH', 'This is an OBJ text, not an STL.', {
        at: { line: 1 },
        remedy: 'Give the file the ending .obj.',
      });
    if (content === 'stl-binary') {
      const binary = new BinaryStl(start, options.totalBytes, options.buffers);
      binary.push(start.subarray(HEADER_BYTES));
      return binary;
    }
    const ascii = new AsciiStl(options.totalBytes, options.buffers);
    ascii.push(start.subarray(start[0] === 0xef ? 3 : 0));
    return ascii;
  };

  return {
    push(chunk) {
      let at = 0;
      if (!body) {
        at = Math.min(SNIFF_BYTES - headBytes, chunk.length);
        head.set(chunk.subarray(0, at), headBytes);
        headBytes += at;
        if (headBytes < SNIFF_BYTES) return;
        body = begin();
      }
      if (at < chunk.length) body.push(chunk.subarray(at));
    },
    finish() {
      body ??= begin();
      body.finish();
      return [partFrom(body, options)];
    },
  };
}

function partFrom(body: BinaryStl | AsciiStl, options: ReadOptions): ReadPart {
  const unit = options.unit ?? 'mm';
  const notes = body instanceof BinaryStl ? binaryNotes(body) : asciiNotes(body);
  return finishPart(
    {
      name: options.name ?? '',
      format: body instanceof BinaryStl ? 'stl-binary' : 'stl-ascii',
      mesh: body.welder.mesh(MM_PER_UNIT[unit]),
      sourceUnit: unit,
      unitFrom: options.unit ? 'given' : 'assumed',
      facetsRead: body.welder.corners / 3,
      notes: [...wrongEnding(options.name, 'stl'), ...notes],
    },
    options,
  );
}

function binaryNotes(body: BinaryStl): ReadNote[] {
  const notes: ReadNote[] = [];
  if (body.spareBytes > 0)
    notes.push({
      code: 'TRAILING_BYTES',
      message: `${body.spareBytes} bytes after the last facet were passed over.`,
    });
  if (body.coloured)
    notes.push({
      code: 'COLOUR_IGNORED',
      message: 'The facets carry colours or other marks of a program; they were passed over.',
    });
  return notes;
}

function asciiNotes(body: AsciiStl): ReadNote[] {
  const notes: ReadNote[] = [];
  if (body.solids > 1)
    notes.push({
      code: 'SEVERAL_SOLIDS',
      message: `${body.solids} solids in one file were taken as one part.`,
    });
  if (body.closed < Math.max(1, body.solids))
    notes.push({
      code: 'MISSING_ENDSOLID',
      message: 'The file ends without endsolid; all facets up to its end are whole.',
    });
  if (body.tailLine > 0)
    notes.push({
      code: 'TRAILING_BYTES',
      message: 'Text after endsolid was passed over.',
      line: body.tailLine,
    });
  return notes;
}
