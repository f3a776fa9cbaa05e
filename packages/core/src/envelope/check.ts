import { ScantlingError } from '../errors.ts';
import type { Envelope, Plate } from './envelope.ts';

type Point = readonly [number, number];

/** Twice the signed area of the triangle a, b, c; positive when counter-clockwise. */
const turn = (a: Point, b: Point, c: Point): number =>
  (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);

/**
 * A plate outline put in order: counter-clockwise, without points in the middle of a straight edge.
 * @param points corners in mm, in either direction round, at least three
 * @throws `ENVELOPE_OUTLINE` for an outline that is not convex, crosses itself or has no area
 */
export function convexOutline(points: readonly Point[]): readonly Point[] {
  const fail = (message: string): never => {
    throw new ScantlingError('ENVELOPE_OUTLINE', message, {
      remedy: 'List the corners of a convex plate in order, going round once.',
    });
  };
  let ring = points.filter((p, i) => {
    const before = points[(i + points.length - 1) % points.length] as Point;
    return p[0] !== before[0] || p[1] !== before[1];
  });
  if (ring.length < 3) fail('The outline needs at least three different corners.');
  const area = ring.reduce((sum, b, i) => {
    const c = ring[(i + 1) % ring.length] as Point;
    return sum + turn(ring[0] as Point, b, c);
  }, 0);
  if (area === 0) fail('The outline encloses no area.');
  if (area < 0) ring = [...ring].reverse();
  const corners: Point[] = [];
  let turned = 0;
  ring.forEach((b, i) => {
    const a = ring[(i + ring.length - 1) % ring.length] as Point;
    const c = ring[(i + 1) % ring.length] as Point;
    const t = turn(a, b, c);
    const ahead = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]);
    if (t < 0) fail(`The outline turns inwards at corner (${b[0]}, ${b[1]}).`);
    if (t === 0 && ahead < 0) fail(`The outline runs back on itself at (${b[0]}, ${b[1]}).`);
    turned += Math.atan2(t, ahead);
    if (t > 0) corners.push(b);
  });
  // A star that goes round twice turns left everywhere, too.
  if (turned > 3 * Math.PI) fail('The outline goes round more than once.');
  return corners;
}

/** Free width across the plate at its narrowest, mm: what twice the side margin may not reach. */
function narrowest(plate: Plate): number {
  if (plate.shape === 'box') return Math.min(plate.widthMm, plate.depthMm);
  if (plate.shape === 'round') return plate.diameterMm;
  const ring = plate.outlineMm;
  let least = Infinity;
  ring.forEach((a, i) => {
    const b = ring[(i + 1) % ring.length] as Point;
    const edge = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const across = Math.max(...ring.map((p) => turn(a, b, p) / edge));
    least = Math.min(least, across);
  });
  return least;
}

/**
 * The envelope, once it is known to make sense.
 * @throws `ENVELOPE_SIZE` for a size that is not above 0, `ENVELOPE_MARGIN` for margins that leave
 * nothing, `ENVELOPE_KEEP_OUT` for a keep-out turned inside out, `ENVELOPE_OUTLINE` for a bad plate
 */
export function checkEnvelope(envelope: Envelope): Envelope {
  const { plate, name } = envelope;
  const fail = (code: string, message: string, remedy: string): never => {
    throw new ScantlingError(code, `${name}: ${message}`, { remedy });
  };
  const sizes =
    plate.shape === 'box'
      ? [plate.widthMm, plate.depthMm]
      : plate.shape === 'round'
        ? [plate.diameterMm]
        : [];
  for (const size of [...sizes, envelope.heightMm])
    if (!(size > 0 && Number.isFinite(size)))
      fail('ENVELOPE_SIZE', `a size of ${size} mm.`, 'Sizes are in mm and above 0.');
  const checked: Plate =
    plate.shape === 'polygon' ? { ...plate, outlineMm: convexOutline(plate.outlineMm) } : plate;
  const { marginSideMm: side, marginTopMm: top } = envelope;
  if (!(side >= 0 && top >= 0))
    fail('ENVELOPE_MARGIN', 'a margin below 0.', 'Margins are in mm, 0 or more.');
  if (top >= envelope.heightMm)
    fail('ENVELOPE_MARGIN', `a top margin of ${top} mm takes all the height.`, 'Make it smaller.');
  if (2 * side >= narrowest(checked))
    fail('ENVELOPE_MARGIN', `a side margin of ${side} mm leaves no plate.`, 'Make it smaller.');
  for (const out of envelope.keepOuts)
    if (!out.minMm.every((low, axis) => low < (out.maxMm[axis] as number)))
      fail(
        'ENVELOPE_KEEP_OUT',
        `keep-out "${out.name}" has a min that is not below its max.`,
        'Give the lower corner as min and the upper one as max.',
      );
  return { ...envelope, plate: checked };
}
