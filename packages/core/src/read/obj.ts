import { ScantlingError } from '../errors.ts';
import { MM_PER_UNIT } from '../units.ts';
import { TextCutter } from './chunkText.ts';
import { isNotFiniteWord, parseDecimal, textOf } from './decimal.ts';
import { NumberList } from './numberList.ts';
import { finishPart, wrongEnding } from './part.ts';
import { splitPolygon } from './polygon.ts';
import { FacetWelder } from './facetWelder.ts';
import type { PartReader, ReadNote, ReadOptions, ReadPart } from './types.ts';

const LF = 10;
const CR = 13;
const BACKSLASH = 92;
/** Cutting a hollow polygon takes up to the cube of its corners: beyond this it is no honest file. */
const MOST_CORNERS = 4096;

/**
 * Reader of OBJ text, fed in chunks. Reads `v` and `f` (v, v/vt, v//vn, v/vt/vn; numbers from 1,
 * negative ones counted back from the last vertex so far), polygons of any number of corners, `\`
 * before a line end, and remarks. Groups, materials, normals and textures change no shape and are
 * passed over; all objects of a file make one part. OBJ states no unit.
 * @throws ScantlingError `OBJ_INDEX`, `FACET_VERTEX_COUNT`, `BAD_NUMBER`, `NOT_FINITE`,
 * `NO_FACETS`, `TOO_MANY_FACETS`
 */
export function objReader(options: ReadOptions = {}): PartReader {
  const parser = new ObjParser();
  const cutter = new TextCutter((c) => c === LF || c === CR, (bytes, end) => parser.parse(bytes, end)); // prettier-ignore
  return {
    push: (chunk) => cutter.push(chunk),
    finish: () => {
      cutter.finish();
      return [partFrom(parser, options)];
    },
  };
}

class ObjParser {
  readonly coordinates = new NumberList();
  /** Corner counts, and vertex numbers from 0, of all faces; checked when all vertices are known. */
  readonly corners = new NumberList();
  readonly vertices = new NumberList();
  readonly faceLines = new NumberList();
  lines = 0;
  objects = 0;
  linesIgnored = 0;
  curvesIgnored = 0;
  private lastByte = 0;
  /** A line that ended in a backslash waits here for the next one. */
  private pending = '';

  parse(bytes: Uint8Array, end: number): void {
    let from = 0;
    for (let i = 0; i < end; i++) {
      const c = bytes[i] as number;
      if (c !== LF && c !== CR) continue;
      const second = c === LF && i === from && this.lastByte === CR;
      this.lastByte = c;
      if (!second) this.takeLine(bytes, from, i);
      from = i + 1;
    }
  }

  private takeLine(bytes: Uint8Array, from: number, to: number): void {
    this.lines++;
    while (from < to && (bytes[from] as number) <= 32) from++;
    while (to > from && (bytes[to - 1] as number) <= 32) to--;
    if (to > from && bytes[to - 1] === BACKSLASH) {
      this.pending += `${textOfAll(bytes, from, to - 1)} `;
      return;
    }
    if (this.pending !== '') {
      const joined = this.pending + textOfAll(bytes, from, to);
      this.pending = '';
      const line = Uint8Array.from(joined, (c) => c.charCodeAt(0));
      this.line(line, 0, line.length);
    } else if (to > from) this.line(bytes, from, to);
  }

  /** One whole line without blanks at its ends. */
  private line(bytes: Uint8Array, from: number, to: number): void {
    const a = bytes[from] as number;
    const b = from + 1 < to ? (bytes[from + 1] as number) : 32;
    if (a === 118 /* v */ && b <= 32) this.vertex(bytes, from + 2, to);
    else if (a === 102 /* f */ && b <= 32) this.face(bytes, from + 2, to);
    else if (a === 111 /* o */ && b <= 32) this.objects++;
    else if ((a === 108 || a === 112) /* l, p */ && b <= 32) this.linesIgnored++;
    else if (/^(curv2?|surf)\s/.test(textOf(bytes, from, Math.min(to, from + 6)))) this.curvesIgnored++; // prettier-ignore
  }

  private vertex(bytes: Uint8Array, from: number, to: number): void {
    let i = from;
    for (let k = 0; k < 3; k++) {
      while (i < to && (bytes[i] as number) <= 32) i++;
      const start = i;
      while (i < to && (bytes[i] as number) > 32) i++;
      const value = parseDecimal(bytes, start, i);
      if (value - value !== 0) throw this.badNumber(textOf(bytes, start, i));
      this.coordinates.push(value);
    }
  }

  private face(bytes: Uint8Array, from: number, to: number): void {
    let corners = 0;
    let i = from;
    for (;;) {
      while (i < to && (bytes[i] as number) <= 32) i++;
      if (i >= to) break;
      const start = i;
      while (i < to && (bytes[i] as number) > 32 && bytes[i] !== 47 /* slash */) i++;
      const number = parseDecimal(bytes, start, i);
      while (i < to && (bytes[i] as number) > 32) i++;
      const known = this.coordinates.length / 3;
      if (!Number.isInteger(number) || number === 0 || -number > known)
        throw badIndex(textOf(bytes, start, i), known, this.lines);
      this.vertices.push(number > 0 ? number - 1 : known + number);
      corners++;
    }
    if (corners < 3 || corners > MOST_CORNERS)
      throw new ScantlingError('FACET_VERTEX_COUNT', `A face with ${corners} corners.`, {
        at: { line: this.lines },
        remedy: 'Export the part again; faces have 3 corners or more.',
      });
    this.corners.push(corners);
    this.faceLines.push(this.lines);
  }

  private badNumber(word: string): ScantlingError {
    const notFinite = isNotFiniteWord(word) || (word !== '' && !Number.isNaN(Number(word)));
    return new ScantlingError(
      notFinite ? 'NOT_FINITE' : 'BAD_NUMBER',
      word === '' ? 'A vertex with fewer than 3 coordinates.' : `"${word.slice(0, 30)}" is not a ${notFinite ? 'finite ' : ''}coordinate.`, // prettier-ignore
      {
        at: { line: this.lines },
        remedy: word.includes(',')
          ? 'Write numbers with a decimal point, not a comma.'
          : 'Repair the mesh where it was made and export it again.',
      },
    );
  }
}

const badIndex = (word: string, known: number, line: number): ScantlingError =>
  new ScantlingError('OBJ_INDEX', `A face names vertex "${word.slice(0, 30)}" of ${known}.`, {
    at: { line },
    remedy: 'Export the file again; it is cut short or was put together wrongly.',
  });

function textOfAll(bytes: Uint8Array, from: number, to: number): string {
  let text = '';
  for (let i = from; i < to; i += 1000) text += textOf(bytes, i, Math.min(to, i + 1000));
  return text;
}

function partFrom(parser: ObjParser, options: ReadOptions): ReadPart {
  const { coordinates, corners, vertices } = parser;
  const known = coordinates.length / 3;
  const welder = new FacetWelder(corners.length);
  const index = new Int32Array(known).fill(-1);
  const weld = (v: number): number => {
    if (index[v] === -1) {
      const x = coordinates.at(3 * v);
      const y = coordinates.at(3 * v + 1);
      const z = coordinates.at(3 * v + 2);
      index[v] = welder.vertexAt(x, y, z);
    }
    return index[v] as number;
  };
  let at = 0;
  let polygons = 0;
  for (let f = 0; f < corners.length; f++) {
    const n = corners.at(f);
    const face = Array.from({ length: n }, (_, i) => vertices.at(at + i));
    at += n;
    const missing = face.find((v) => v >= known);
    if (missing !== undefined) throw badIndex(`${missing + 1}`, known, parser.faceLines.at(f));
    if (n > 3) polygons++;
    const order = n === 3 ? [0, 1, 2] : splitPolygon(face.flatMap((v) => [coordinates.at(3 * v), coordinates.at(3 * v + 1), coordinates.at(3 * v + 2)])); // prettier-ignore
    for (let i = 0; i < order.length; i += 3)
      welder.facet(
        weld(face[order[i] as number] as number),
        weld(face[order[i + 1] as number] as number),
        weld(face[order[i + 2] as number] as number),
      );
  }
  if (welder.corners === 0)
    throw new ScantlingError('NO_FACETS', 'The file holds no faces.', {
      at: { line: parser.lines },
      remedy: 'Export the part again as a mesh with faces.',
    });
  const unit = options.unit ?? 'mm';
  return finishPart(
    {
      name: options.name ?? '',
      format: 'obj',
      mesh: welder.mesh(MM_PER_UNIT[unit]),
      sourceUnit: unit,
      unitFrom: options.unit ? 'given' : 'assumed',
      facetsRead: corners.length,
      notes: [...wrongEnding(options.name, 'obj'), ...notesOf(parser, polygons)],
    },
    options,
  );
}

function notesOf(parser: ObjParser, polygons: number): ReadNote[] {
  const notes: ReadNote[] = [];
  if (parser.objects > 1) notes.push({ code: 'SEVERAL_SOLIDS', message: `${parser.objects} objects in one file were taken as one part.` }); // prettier-ignore
  if (polygons > 0) notes.push({ code: 'POLYGONS_SPLIT', message: `${polygons} faces with more than 3 corners were cut into triangles.` }); // prettier-ignore
  if (parser.linesIgnored > 0) notes.push({ code: 'LINES_IGNORED', message: `${parser.linesIgnored} line or point elements were passed over; they enclose nothing.` }); // prettier-ignore
  if (parser.curvesIgnored > 0) notes.push({ code: 'CURVES_IGNORED', message: `${parser.curvesIgnored} free-form curves or surfaces were passed over: only the mesh was read.` }); // prettier-ignore
  return notes;
}
