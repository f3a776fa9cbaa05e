import { IDENTITY, quatToMatrix, type Vec3 } from '../math/index.ts';
import { massProperties, transformMesh, type Mesh } from '../mesh/index.ts';
import { surfaceOf } from '../cut/index.ts';
import { stlReader } from '../read/index.ts';
import { writeBinaryStl } from './stl.ts';
import { write3mf } from './threemf.ts';

/** A piece to be written. */
export interface PieceBody {
  readonly id: string;
  /** Where it is to stand, mm. */
  readonly mesh: Mesh;
  /** What was cut, mm3: the file is held against it. */
  readonly volumeMm3: number;
  /**
   * Given for a piece that has a plate to itself: the move from the middle of the plate to the
   * corner that a 3MF counts from. Such a piece gets a 3MF of its own.
   */
  readonly toCornerMm?: Vec3;
}

/** A piece's bytes read again by our own reader: what a slicer will find in the file. */
export interface ReadBack {
  readonly closed: boolean;
  readonly oriented: boolean;
  /** |volume read - volume cut| / volume cut; float32 is the file's only number. */
  readonly relativeVolumeError: number;
}

/** Float32 keeps 7 figures of every coordinate: more than this is no rounding. */
const READ_BACK_TOLERANCE = 1e-5;

export interface PieceFile {
  readonly name: string;
  readonly data: Uint8Array;
}

/** Packing of pieces: on 200 k facets half the time of level 6 for a file 11 % larger. */
const PIECES_LEVEL = 2;

export interface PieceFiles {
  readonly stl: readonly (PieceFile & { readonly piece: string; readonly readBack: ReadBack })[];
  /** Named objects in full precision, mm: one file with all pieces, or one each. */
  readonly threeMf: readonly PieceFile[];
}

/**
 * The pieces of a cut part as files: one binary STL each, read back before it is called sound, and
 * one 3MF with all of them; pieces that have a plate to themselves get one each, since two would
 * overlap in the middle of one plate.
 * @param stem begins the names of all files
 * @throws ScantlingError `NOT_FINITE`
 */
export function pieceFiles(pieces: readonly PieceBody[], stem: string): PieceFiles {
  const level = PIECES_LEVEL;
  const together = pieces
    .filter((piece) => !piece.toCornerMm)
    .map(({ id, mesh }) => ({ name: `${stem} ${id}`, mesh }));
  return {
    stl: pieces.map(({ id, mesh, volumeMm3 }) => {
      // A header is 80 letters of plain ASCII.
      const header = `Piece ${id} of ${stem}, mm`.replace(/[^ -~]/g, '_').slice(0, 80);
      const data = writeBinaryStl(mesh, header);
      return {
        piece: id,
        name: `${stem}.piece-${id}.stl`,
        data,
        readBack: readBackStl(data, volumeMm3),
      };
    }),
    threeMf: [
      ...(together.length > 0
        ? [{ name: `${stem}.pieces.3mf`, data: write3mf(together, { title: stem, level }) }]
        : []),
      ...pieces.flatMap(({ id, mesh, toCornerMm }) => {
        if (!toCornerMm) return [];
        const name = `${stem} ${id}`;
        const moved = transformMesh(mesh, quatToMatrix(IDENTITY), toCornerMm);
        const data = write3mf([{ name, mesh: moved }], { title: name, level });
        return [{ name: `${stem}.piece-${id}.3mf`, data }];
      }),
    ],
  };
}

/** What is wrong with a piece as its file holds it, in a sentence; null: nothing. */
export function misread(piece: string, back: ReadBack): string | null {
  if (!back.closed || !back.oriented)
    return `Piece ${piece}: rounded to the numbers of an STL file, its surface is not closed. Take the 3MF.`;
  return back.relativeVolumeError <= READ_BACK_TOLERANCE
    ? null
    : `Piece ${piece}: read back from its STL file, its volume is off by ${back.relativeVolumeError.toExponential(1)}.`;
}

/** Reads a written piece again and holds it against the volume that was cut, mm3. */
function readBackStl(bytes: Uint8Array, volumeMm3: number): ReadBack {
  const reader = stlReader({ seams: 'off', totalBytes: bytes.length });
  reader.push(bytes);
  const mesh = reader.finish()[0]?.mesh;
  if (!mesh) return { closed: false, oriented: false, relativeVolumeError: Infinity };
  const { closed, oriented } = surfaceOf(mesh);
  const error = Math.abs(massProperties(mesh).volumeMm3 - volumeMm3) / volumeMm3;
  return { closed, oriented, relativeVolumeError: error };
}
