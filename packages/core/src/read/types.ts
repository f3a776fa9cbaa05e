import { z } from 'zod';
import type { Context } from '../context.ts';
import type { LengthUnit } from '../units.ts';
import type { Mesh } from '../mesh/index.ts';
import type { ReadBuffers } from './facetWelder.ts';

/** How the bytes were written; found from the content, never from the file's name. */
export type PartFormat = 'stl-binary' | 'stl-ascii' | '3mf' | 'obj';

/** Where the unit of length comes from: the file states it, the caller gave it, or mm is assumed. */
export type UnitOrigin = 'file' | 'given' | 'assumed';

/** Something worth telling about a file that could be read all the same. */
export const NOTE_CODES = [
  'SEVERAL_SOLIDS',
  'MISSING_ENDSOLID',
  'TRAILING_BYTES',
  'COLOUR_IGNORED',
  'WRONG_ENDING',
  'UNIT_IN_FILE_KEPT',
  'SEAMS_WELDED',
  'POLYGONS_SPLIT',
  'LINES_IGNORED',
  'CURVES_IGNORED',
  'OBJECT_SKIPPED',
  'EXTENSION_IGNORED',
  'MIRRORED',
] as const;

export const readNoteSchema = z.strictObject({
  code: z.enum(NOTE_CODES).describe('Fixed code of the remark'),
  message: z.string().describe('The remark in one sentence, for people'),
  line: z.number().int().optional().describe('Line of the file, from 1, where it has one'),
});
export type ReadNote = z.infer<typeof readNoteSchema>;

/** One part as read. Plain data but for the mesh's typed arrays. */
export interface ReadPart {
  /** The file's name as the caller gave it; for a 3MF item with the item's own name in brackets. */
  readonly name: string;
  readonly format: PartFormat;
  /** In mm, bit-equal vertices welded; after `SEAMS_WELDED` also those of open seams. */
  readonly mesh: Mesh;
  /** The unit the file's numbers were taken in. */
  readonly sourceUnit: LengthUnit;
  readonly unitFrom: UnitOrigin;
  /** Facets in the file, before any were dropped. */
  readonly facetsRead: number;
  readonly notes: readonly ReadNote[];
}

export interface ReadOptions {
  /** Name for results and errors; its ending is only compared with what the content turned out to be. */
  readonly name?: string;
  /** Unit of files that state none (STL, OBJ). Default mm, reported as assumed. 3MF states its own. */
  readonly unit?: LengthUnit;
  /**
   * `auto` (default) tries a small tolerance weld where edges are open and keeps it only when it
   * closes the mesh, with a note; `off` leaves the exact weld alone.
   */
  readonly seams?: 'auto' | 'off';
  /** Size of the whole file in bytes where it is known (of the real file, never a header's claim). */
  readonly totalBytes?: number;
  /**
   * Arrays kept from one read to the next, which saves the cost of fresh memory. An STL's mesh then
   * lives in them and is valid until the next read with the same buffers; copy it to keep it.
   */
  readonly buffers?: ReadBuffers;
  readonly context?: Context;
}

/** A reader fed piece by piece. */
export interface PartReader {
  /** Takes the next bytes, in any sizes; the chunk may be reused as soon as this returns. */
  push(chunk: Uint8Array): void;
  /** @returns the parts, once all bytes were pushed. */
  finish(): ReadPart[];
}

/** More facets than this are refused (5 GB of binary STL): no desktop machine plans such a part. */
export const MAX_FACETS = 100_000_000;
