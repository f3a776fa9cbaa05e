import { boxEnvelope, seededRandom, unit, type Mesh, type Vec3 } from '../src/index.ts';
import { bodyFrom, clipBody, skinPoints, type Body } from '../src/split/body.ts';
import { extremePoints, PART_AXES, smallBox, spreadAxes } from '../src/split/frames.ts';
import { Judge } from '../src/split/judge.ts';
import { outlineWithin, seamOf, type SidedPlane } from '../src/split/seam.ts';

export interface RandomPlans {
  readonly tried: number;
  readonly valid: number;
  /** Shortest total seam of the valid ones, mm. */
  readonly bestMm: number;
}

/**
 * Plans of `pieces` pieces from planes of random direction and height, kept when every piece fits:
 * what chance finds. Stops at `wanted` valid plans or `most` tries.
 */
export function randomPlans(
  mesh: Mesh,
  size: Vec3,
  pieces: number,
  wanted: number,
  most: number,
  seed = 1,
): RandomPlans {
  const random = seededRandom(seed);
  const judge = new Judge([boxEnvelope(...size)]);
  const fits = (body: Body): boolean => {
    const points = extremePoints(skinPoints(body), 160);
    const spread = spreadAxes(points);
    const frames = [PART_AXES, spread, smallBox(points, spread)];
    return judge.count(points, frames) === 1 || judge.likely(points, frames);
  };
  const direction = (): Vec3 => {
    for (;;) {
      const d: Vec3 = [2 * random() - 1, 2 * random() - 1, 2 * random() - 1];
      const n = Math.hypot(...d) <= 1 ? unit(d) : null;
      if (n) return n;
    }
  };
  let valid = 0;
  let tried = 0;
  let bestMm = Infinity;
  for (; tried < most && valid < wanted; tried++) {
    const open: { body: Body; within: readonly SidedPlane[] }[] = [{ body: bodyFrom(mesh), within: [] }]; // prettier-ignore
    let done = 0;
    let seamMm = 0;
    while (open.length > 0 && done + open.length < pieces) {
      const { body, within } = open.shift() as (typeof open)[number];
      const normal = direction();
      const points = skinPoints(body);
      let low = Infinity;
      let high = -Infinity;
      for (let i = 0; i < points.length; i += 3) {
        const h = normal.reduce((s, c, k) => s + c * (points[i + k] as number), 0);
        low = Math.min(low, h);
        high = Math.max(high, h);
      }
      const plane = { normal, offsetMm: low + random() * (high - low) };
      const { below, above } = clipBody(body, normal, plane.offsetMm);
      if (!below || !above) continue;
      seamMm += seamOf(outlineWithin(mesh, plane, within, null), plane, true).lengthMm;
      for (const [side, half] of [['below', below], ['above', above]] as const) {
        if (pieces > 2 && fits(half)) done++;
        else open.push({ body: half, within: [...within, { plane, side }] });
      } // prettier-ignore
    }
    if (done + open.length !== pieces || !open.every(({ body }) => fits(body))) continue;
    valid++;
    bestMm = Math.min(bestMm, seamMm);
  }
  return { tried, valid, bestMm };
}
