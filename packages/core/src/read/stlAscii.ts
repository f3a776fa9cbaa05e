import { ScantlingError } from '../errors.ts';
import { TextCutter } from './chunkText.ts';
import { decimalWord, isNotFiniteWord, textOf, wordEnd } from './decimal.ts';
import { FacetWelder, hashPoint, type ReadBuffers } from './facetWelder.ts';

/**
 * ASCII STL, parsed on bytes: words in any case, any line ends (CR, LF, both, or none at all),
 * any number of solids. Normals are passed over: facets face the way their corners turn.
 */
const TOP = 0; // between facets: expects solid, facet or endsolid
const NAME = 1; // the rest of a solid's or endsolid's line is its name
const NAME_FACET = 2; // `facet` inside a name: a facet after all if `normal` follows
const NORMAL = 3; // after facet: passes the normal, waits for outer
const OUTER = 4;
const LOOP = 5;
const COORDINATE = 6;
const ENDFACET = 7;
const TAIL = 8; // unknown text after a closed solid: passed over up to the next solid

const bytesOf = (word: string): Uint8Array => Uint8Array.from(word, (c) => c.charCodeAt(0));
const SOLID = bytesOf('solid');
const FACET = bytesOf('facet');
const NORMAL_WORD = bytesOf('normal');
const OUTER_WORD = bytesOf('outer');
const LOOP_WORD = bytesOf('loop');
const VERTEX = bytesOf('vertex');
const ENDLOOP = bytesOf('endloop');
const ENDFACET_WORD = bytesOf('endfacet');
const ENDSOLID = bytesOf('endsolid');

/** Words allowed between `facet` and `outer`: "normal" and three numbers, with some patience. */
const MOST_NORMAL_WORDS = 12;

export class AsciiStl {
  readonly welder: FacetWelder;
  solids = 0;
  closed = 0;
  tailLine = 0;
  private readonly cutter = new TextCutter((c) => c <= 32, (bytes, end) => this.parse(bytes, end)); // prettier-ignore
  private state: number = TOP;
  private line = 1;
  /** Line of the last word, for what is missing at the end. */
  private lastLine = 1;
  private lastByte = 0;
  private lineEnded = false;
  private facetLine = 0;
  private corners = 0;
  private normalWords = 0;
  private coordinates = 0;
  /** The facet's first three vertices. */
  private readonly facet = new Int32Array(3);

  /** @param dataBytes bytes of the real file, if known: sizes the arrays at some 250 bytes a facet */
  constructor(dataBytes: number | undefined, buffers?: ReadBuffers) {
    this.welder = new FacetWelder(Math.ceil((dataBytes ?? 0) / 240), buffers);
  }

  push(chunk: Uint8Array): void {
    this.cutter.push(chunk);
  }

  /** @throws ScantlingError `STL_TRUNCATED` or `NO_FACETS` */
  finish(): void {
    this.cutter.finish();
    if (this.state >= NORMAL && this.state !== TAIL)
      throw new ScantlingError('STL_TRUNCATED', 'The file ends inside a facet.', {
        at: { line: this.facetLine },
        remedy: 'Fetch or export the file again; it was probably cut short.',
      });
    if (this.welder.corners === 0)
      throw new ScantlingError('NO_FACETS', 'The file holds no facets.', {
        at: { line: this.lastLine },
        remedy: 'Export the part again; nothing was written into this file.',
      });
  }

  /** One pass over whole words. */
  private parse(bytes: Uint8Array, end: number): void {
    let i = 0;
    let previous = this.lastByte;
    for (;;) {
      let c = 0;
      while (i < end && (c = bytes[i] as number) <= 32) {
        if (c === 13 || (c === 10 && previous !== 13)) {
          this.line++;
          this.lineEnded = true;
        }
        previous = c;
        i++;
      }
      if (i >= end) break;
      const start = i;
      previous = 0;
      if (this.state === COORDINATE) i = this.coordinate(bytes, start);
      else {
        while ((bytes[i] as number) > 32) i++;
        this.word(bytes, start, i);
      }
      this.lineEnded = false;
      this.lastLine = this.line;
    }
    this.lastByte = previous;
  }

  /** @returns where the word ends */
  private coordinate(bytes: Uint8Array, from: number): number {
    const value = decimalWord(bytes, from);
    const to = wordEnd;
    // NaN and infinity alone differ from themselves less themselves being 0.
    if (value - value !== 0) throw this.badNumber(textOf(bytes, from, to));
    const point = this.welder.point;
    point[this.coordinates++] = value;
    if (this.coordinates < 3) return to;
    this.coordinates = 0;
    this.state = LOOP;
    if (this.corners < 3) this.facet[this.corners] = this.welder.vertex(hashPoint(point));
    this.corners++;
    return to;
  }

  private word(bytes: Uint8Array, from: number, to: number): void {
    const state = this.state;
    if (state === LOOP) {
      if (sameWord(bytes, from, to, VERTEX)) this.state = COORDINATE;
      else if (sameWord(bytes, from, to, ENDLOOP)) this.closeLoop();
      else throw this.unexpected(textOf(bytes, from, to), 'vertex or endloop');
    } else if (state === NORMAL) {
      if (sameWord(bytes, from, to, OUTER_WORD)) this.state = OUTER;
      else if (
        ++this.normalWords > MOST_NORMAL_WORDS ||
        sameWord(bytes, from, to, FACET) ||
        sameWord(bytes, from, to, VERTEX)
      )
        throw this.unexpected(textOf(bytes, from, to), 'outer loop');
    } else if (state === OUTER) {
      if (!sameWord(bytes, from, to, LOOP_WORD))
        throw this.unexpected(textOf(bytes, from, to), 'loop');
      this.state = LOOP;
    } else if (state === ENDFACET) {
      if (!sameWord(bytes, from, to, ENDFACET_WORD))
        throw this.unexpected(textOf(bytes, from, to), 'endfacet');
      this.state = TOP;
    } else this.between(bytes, from, to);
  }

  /** A word outside facets: part of a name, or what opens or closes a solid or facet. */
  private between(bytes: Uint8Array, from: number, to: number): void {
    const named = (this.state === NAME || this.state === NAME_FACET) && !this.lineEnded;
    if (named) {
      if (this.state === NAME_FACET && sameWord(bytes, from, to, NORMAL_WORD)) this.openFacet();
      else this.state = sameWord(bytes, from, to, FACET) ? NAME_FACET : NAME;
    } else this.top(bytes, from, to);
  }

  private top(bytes: Uint8Array, from: number, to: number): void {
    if (sameWord(bytes, from, to, FACET) && this.state !== TAIL) this.openFacet();
    else if (sameWord(bytes, from, to, SOLID)) {
      this.solids++;
      this.state = NAME;
    } else if (sameWord(bytes, from, to, ENDSOLID)) {
      this.closed++;
      this.state = NAME;
    } else if (this.closed > 0) {
      this.tailLine ||= this.line;
      this.state = TAIL;
    } else throw this.unexpected(textOf(bytes, from, to), 'solid, facet or endsolid');
  }

  private openFacet(): void {
    this.state = NORMAL;
    this.facetLine = this.line;
    this.corners = 0;
    this.normalWords = 0;
  }

  private closeLoop(): void {
    if (this.corners !== 3)
      throw new ScantlingError(
        'FACET_VERTEX_COUNT',
        `A facet with ${this.corners} ${this.corners === 1 ? 'vertex' : 'vertices'}; STL facets have 3.`,
        {
          at: { line: this.facetLine },
          remedy: 'Export the part again with triangulated faces.',
        },
      );
    const f = this.facet;
    this.welder.facet(f[0] as number, f[1] as number, f[2] as number);
    this.state = ENDFACET;
  }

  private badNumber(word: string): ScantlingError {
    const notFinite = isNotFiniteWord(word) || !Number.isNaN(Number(word));
    return new ScantlingError(
      notFinite ? 'NOT_FINITE' : 'BAD_NUMBER',
      `"${shown(word)}" is not a ${notFinite ? 'finite ' : ''}coordinate.`,
      {
        at: { line: this.line },
        remedy: word.includes(',')
          ? 'Write numbers with a decimal point, not a comma.'
          : 'Repair the mesh where it was made and export it again.',
      },
    );
  }

  private unexpected(word: string, wanted: string): ScantlingError {
    return new ScantlingError('BAD_TEXT', `Found "${shown(word)}" where ${wanted} should be.`, {
      at: { line: this.line },
      remedy: 'Export the file again, as binary STL if possible.',
    });
  }
}

/** The word, short and printable. */
const shown = (word: string): string =>
  word.slice(0, 30).replace(/[\u0000-\u001f\u007f-\u00ff]/g, '?');

function sameWord(bytes: Uint8Array, from: number, to: number, word: Uint8Array): boolean {
  if (to - from !== word.length) return false;
  for (let k = 0; k < word.length; k++) if (((bytes[from + k] as number) | 32) !== word[k]) return false; // prettier-ignore
  return true;
}
