import { pointAt, type Vec3 } from '../math/index.ts';
import type { Body } from './body.ts';
import { extremePoints } from './frames.ts';

/** Points of a part's skin for the proofs below: far ones, some of all, and some along long edges. */
export function samplePoints(body: Body, skin: Float64Array, pitchMm: number): Vec3[] {
  const points: Vec3[] = [];
  const far = extremePoints(skin, 200);
  for (let i = 0; i < far.length / 3; i++) points.push(pointAt(far, i));
  const stride = Math.max(1, Math.floor(skin.length / 3 / SOME));
  for (let i = 0; i < skin.length / 3; i += stride) points.push(pointAt(skin, i));
  const { positions: p, triangles: t } = body;
  for (let e = 0; e < t.length && points.length < MOST; e++) {
    const i = t[e] as number;
    const j = t[e % 3 === 2 ? e - 2 : e + 1] as number;
    if (i > j) continue;
    const a = pointAt(p, i);
    const b = pointAt(p, j);
    const steps = Math.floor(distance(a, b) / pitchMm);
    for (let k = 1; k < steps; k++)
      points.push(a.map((x, c) => x + (k / steps) * ((b[c] as number) - x)) as unknown as Vec3);
  }
  return points;
}

const SOME = 400;
const MOST = 1600;

const distance = (a: Vec3, b: Vec3): number => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);

/**
 * Points that lie pairwise farther apart than `reachMm`, the longest line in any envelope: no
 * piece holds two of them, so there are at least as many pieces. A greedy choice from several
 * starts; any such set is a proof.
 */
export function farApart(points: readonly Vec3[], reachMm: number): number {
  let most = Math.min(1, points.length);
  const starts = Math.min(points.length, 40);
  for (let s = 0; s < starts; s++) {
    const first = points[s] as Vec3;
    // The nearest of those still far enough leave the most room for more.
    const open = points
      .map((p) => ({ p, d: distance(p, first) }))
      .filter(({ d }) => d > reachMm)
      .sort((a, b) => a.d - b.d);
    const chosen = [first];
    for (const { p } of open) if (chosen.every((q) => distance(p, q) > reachMm)) chosen.push(p);
    most = Math.max(most, chosen.length);
  }
  return most;
}

/**
 * Whether two pieces are impossible. Points farther apart than `reachMm` lie in different pieces;
 * with two pieces, what is far from a point of one is in the other, and so on: that settles the
 * piece of every point such a chain leads to. If the chain contradicts itself, or if what one piece
 * must hold does not fit, there are three pieces at least. A bar of 1000 x 100 x 100 for a cube of
 * 300 (reach 519.6): each end of the bar holds at least what is over 519.6 from the other end, a
 * full-section bar of 480, but no such bar over 342.5 fits.
 * @param cannotFit whether points are proved to fit no envelope
 */
export function twoAreTooFew(
  points: readonly Vec3[],
  reachMm: number,
  cannotFit: (points: Float64Array) => boolean,
): boolean {
  const side = new Int8Array(points.length);
  for (let s = 0; s < Math.min(points.length, 40); s++) {
    if (side[s] !== 0) continue;
    side[s] = 1;
    const chain = [s];
    for (const i of chain)
      for (let j = 0; j < points.length; j++) {
        if (distance(points[i] as Vec3, points[j] as Vec3) <= reachMm) continue;
        if (side[j] === side[i]) return true;
        if (side[j] !== 0) continue;
        side[j] = -(side[i] as number);
        chain.push(j);
      }
    for (const which of [1, -1]) {
      const held = chain.filter((i) => side[i] === which).map((i) => points[i] as Vec3);
      if (held.length > 3 && cannotFit(extremePoints(Float64Array.from(held.flat()), 200)))
        return true;
    }
  }
  return false;
}
