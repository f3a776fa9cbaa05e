import { boxEnvelope, randomDirection, seededRandom, type Mesh, type Vec3 } from '../src/index.ts';
import { bodyFrom, clipBody, skinPoints, type Body } from '../src/split/body.ts';
import { extremePoints, PART_AXES, smallBox, spreadAxes } from '../src/split/frames.ts';
import { Judge } from '../src/split/judge.ts';
import { outlineWithin, seamOf, type SidedPlane } from '../src/split/seam.ts';
import { splitSettingsSchema, splitWeightsSchema } from '../src/split/settings.ts';

export interface RandomPlans {
  readonly tried: number;
  readonly valid: number;
  /** Shortest total seam of the valid ones, mm. */
  readonly bestMm: number;
}

/** Plans judged by nothing but the length of their seams, as the random ones are. */
export const SEAM_ALONE = splitSettingsSchema.parse({
  weights: Object.fromEntries(
    Object.keys(splitWeightsSchema.shape).map((term) => [term, term === 'seam' ? 1 : 0]),
  ),
});

/** Planes drawn for one piece before the plan is given up. */
const DRAWS = 60;

interface Part {
  readonly body: Body;
  readonly within: readonly SidedPlane[];
}

/**
 * Plans of `pieces` pieces from planes of random direction (even over the sphere) and height, kept
 * when every piece fits: what chance finds. They are drawn piece by piece, for plans of many pieces
 * drawn at one go are hardly ever valid: a piece that must become n is cut by a random plane, the n
 * are shared by volume or at random, and a plane is drawn anew when a half that is to stay whole
 * does not fit. Stops at `wanted` valid plans, or when at the pace so far `seconds` will not do.
 */
export function randomPlans(
  mesh: Mesh,
  size: Vec3,
  pieces: number,
  wanted: number,
  seconds: number,
  seed = 1,
): RandomPlans {
  const random = seededRandom(seed);
  const judge = new Judge([boxEnvelope(...size)]);
  const fits = (body: Body): boolean => {
    const points = extremePoints(skinPoints(body), 160);
    const spread = spreadAxes(points);
    const frames = [PART_AXES, spread, smallBox(points, spread)];
    if (judge.count(points, frames) > 1 && !judge.likely(points, frames)) return false;
    // Both look at a few points only: a plan counts with the certificate that ours carry.
    return judge.certify(skinPoints(body), 4000).fits === true;
  };
  const start = performance.now();
  let valid = 0;
  const late = (): boolean => {
    const spent = (performance.now() - start) / 1000;
    return spent > seconds || (spent > seconds / 8 && valid * seconds < wanted * spent);
  };

  /** Length of all seams of a random plan of n pieces, or null when none was found. */
  const divide = ({ body, within }: Part, n: number): number | null => {
    if (n === 1) return 0;
    const points = skinPoints(body);
    for (let draw = 0; draw < DRAWS && !late(); draw++) {
      const normal = randomDirection(random);
      let low = Infinity;
      let high = -Infinity;
      for (let i = 0; i < points.length; i += 3) {
        const h = normal.reduce((s, c, k) => s + c * (points[i + k] as number), 0);
        low = Math.min(low, h);
        high = Math.max(high, h);
      }
      const share = random();
      const plane = { normal, offsetMm: low + share * (high - low) };
      const { below, above } = clipBody(body, normal, plane.offsetMm);
      if (!below || !above) continue;
      const under = Math.min(n - 1, Math.max(1, Math.round(n * share + random() - 0.5)));
      if (under === 1 && !fits(below)) continue;
      if (n - under === 1 && !fits(above)) continue;
      const sides = [
        [below, 'below', under],
        [above, 'above', n - under],
      ] as const;
      let seamMm: number | null = seamOf(outlineWithin(mesh, plane, within, null), plane, true).lengthMm; // prettier-ignore
      for (const [half, side, count] of sides) {
        const rest: number | null = divide({ body: half, within: [...within, { plane, side }] }, count); // prettier-ignore
        seamMm = seamMm === null || rest === null ? null : seamMm + rest;
        if (seamMm === null) break;
      }
      return seamMm;
    }
    return null;
  };

  let tried = 0;
  let bestMm = Infinity;
  for (; !late() && valid < wanted; tried++) {
    const seamMm = divide({ body: bodyFrom(mesh), within: [] }, pieces);
    if (seamMm === null) continue;
    valid++;
    bestMm = Math.min(bestMm, seamMm);
  }
  return { tried, valid, bestMm };
}
