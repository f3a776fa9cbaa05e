import type { Envelope } from '../envelope/index.ts';
import { decideFit, freeSpaceOf, meanWidth, piecesAtLeast } from '../fit/index.ts';
import { convexHull } from '../hull/index.ts';
import { countBodies, skinPoints } from './body.ts';
import { farApart, samplePoints, twoAreTooFew } from './far-apart.ts';
import { extremePoints } from './frames.ts';
import { massOf } from './mass.ts';
import type { Part } from './measure.ts';

export interface Bound {
  readonly count: number;
  readonly because: string;
}

/** Cells of rotations allowed to prove that the part fits nowhere. */
const CELLS = 20_000;
/** Points that reach far, for measures that only grow with more of them. */
const FEW = 400;

/**
 * Proved: fewer pieces than this cannot all fit, whichever machine each goes on. One when the part
 * fits or when that could not be ruled out. Points too far apart must be in different pieces. The
 * measures that add up over pieces (volume, longest
 * line, mean width) are each set against the largest of any machine.
 */
export function leastPieces(part: Part, envelopes: readonly Envelope[]): Bound {
  const skin = skinPoints(part.body);
  // What does not fit, is too long or too wide in part is so as a whole: a few points prove it.
  let hull = convexHull(extremePoints(skin, FEW));
  const answerAt = (e: Envelope) => decideFit(hull, e, { maxCells: CELLS });
  if (!envelopes.every((e) => answerAt(e).fits === false)) {
    hull = convexHull(skin);
    for (const envelope of envelopes) {
      const answer = answerAt(envelope);
      if (answer.fits === true) return { count: 1, because: `it fits ${envelope.name} as it is` };
      if (answer.fits === null)
        return {
          count: 1,
          because: `it is not proved that it fits ${envelope.name} in no orientation`,
        };
    }
  }
  const spaces = envelopes.map(freeSpaceOf).filter((s) => s !== null);
  const [first] = spaces;
  if (!first) return { count: 1, because: 'no machine has room' };
  const widest = {
    ...first,
    volumeMm3: Math.max(...spaces.map((s) => s.volumeMm3)),
    diagonalMm: Math.max(...spaces.map((s) => s.diagonalMm)),
    meanWidthMm: Math.max(...spaces.map((s) => s.meanWidthMm)),
  };
  const measures = piecesAtLeast(hull.positions, widest, {
    ...(part.closed && {
      volumeMm3: massOf(part.body).volumeMm3,
      connected: countBodies(part.body) === 1,
    }),
    ...(hull.triangles.length > 0 && { meanWidthMm: meanWidth(hull.positions, hull.triangles) }),
  });
  // A hair more than the longest line, so that points which just touch both ends do not count.
  const reachMm = widest.diagonalMm * (1 + 1e-9);
  const points = samplePoints(part.body, skin, reachMm / 20);
  const apart = farApart(points, reachMm);
  const cannotFit = (held: Float64Array): boolean =>
    envelopes.every((e) => decideFit(held, e, { maxCells: CELLS }).fits === false);
  const three = Math.max(apart, measures.count) < 3 && twoAreTooFew(points, reachMm, cannotFit);
  if (three)
    return {
      count: 3,
      because: 'of two pieces one would hold what is too far from the other end, and not fit',
    };
  if (apart > measures.count)
    return {
      count: apart,
      because: `it has ${apart} points too far apart for one piece to hold two`,
    };
  return measures;
}
