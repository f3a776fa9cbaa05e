import { loopArea, regionsOf, type PlaneFrame } from '../mesh/index.ts';
import type { FlatKernel, Loops } from '../solid/index.ts';
import { halfSpaceInFace, type HalfSpace } from './frame.ts';
import { patchBounds, type Patch } from './patch.ts';

/** Patches smaller than this are crumbs of the arithmetic or too small to glue, mm2. */
export const LEAST_PATCH_MM2 = 1;

/**
 * The connected patches of a section that lie within the half-spaces: the glued face between two
 * pieces. Overlapping shells are resolved by winding: 1 or more is material.
 */
export function faceRegions(
  flat: FlatKernel,
  loops: Loops,
  frame: PlaneFrame,
  within: readonly HalfSpace[],
): Patch[] {
  let face: Loops = flat.unite(loops);
  for (const h of within) {
    if (face.length === 0) break;
    const { a, b, d } = halfSpaceInFace(frame, h);
    const l = Math.hypot(a, b);
    if (l < 1e-9) {
      if (d < 0) face = [];
      continue;
    }
    face = flat.intersect(face, [halfPlane(face, a / l, b / l, d / l)]);
  }
  return regionsOf(face)
    .map(({ outline, holes }): Patch => ({ loops: [outline, ...holes] }))
    .filter(({ loops }) => loops.reduce((a, l) => a + loopArea(l), 0) >= LEAST_PATCH_MM2);
}

/** A square, larger than the face, on the side a x + b y <= d. */
function halfPlane(face: Loops, a: number, b: number, d: number): Float64Array {
  const box = patchBounds({ loops: face });
  const mx = (box.x0 + box.x1) / 2;
  const my = (box.y0 + box.y1) / 2;
  const size = 2 * (box.x1 - box.x0 + box.y1 - box.y0) + 1;
  // The foot of the face's middle on the line, no farther off than the face can reach.
  const toLine = Math.max(-size, Math.min(size, d - a * mx - b * my));
  const fx = mx + toLine * a;
  const fy = my + toLine * b;
  const corner = (along: number, back: number): [number, number] => [
    fx - along * b - back * a,
    fy + along * a - back * b,
  ];
  const s = 3 * size;
  return Float64Array.from([
    ...corner(-s, 0),
    ...corner(s, 0),
    ...corner(s, 2 * s),
    ...corner(-s, 2 * s),
  ]);
}

/**
 * Chains of an open section joined end to nearest start by straight lines, so that an outline to
 * work with comes about; `guessedMm` is the length of those lines.
 */
export function closeChains(chains: Loops): {
  readonly loops: Float64Array[];
  readonly guessedMm: number;
} {
  const rest = [...chains];
  const loops: Float64Array[] = [];
  let guessedMm = 0;
  for (let chain = rest.shift(); chain; chain = rest.shift()) {
    const points = Array.from(chain);
    for (;;) {
      const [x, y] = points.slice(-2) as [number, number];
      const gap = (start: ArrayLike<number>): number =>
        Math.hypot((start[0] as number) - x, (start[1] as number) - y);
      const own = gap(points);
      const near = rest.reduce((best, c, i) => (gap(c) < best.d ? { d: gap(c), i } : best), {
        d: own,
        i: -1,
      });
      guessedMm += near.d;
      if (near.i < 0) break;
      points.push(...(rest.splice(near.i, 1)[0] as Float64Array));
    }
    if (points.length >= 6) loops.push(Float64Array.from(points));
  }
  return { loops, guessedMm };
}
