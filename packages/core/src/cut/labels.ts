import { LETTER_ADVANCE, type Stroke } from './drawing.ts';
import { textWidth } from './strokes.ts';

/** A hole on paper with what is to be written beside it, mm. */
export interface Hole {
  readonly x: number;
  readonly y: number;
  readonly r: number;
  readonly label: string;
}

export interface PlacedLabel {
  readonly text: string;
  /** Left end of the base line. */
  readonly x: number;
  readonly y: number;
}

interface Box {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

/** The centre lines of a hole reach this far beyond it. */
const CROSS_MM = 2;
const GAP_MM = 0.8;
/** A label may stand this far over the drawing's edge. */
const OVER_MM = 6;

/**
 * Finds each label a free place around its hole: clear of other labels and holes before all, then
 * off the outline; where there is none, the place that hides least.
 */
export function placeLabels(
  holes: readonly Hole[],
  outline: readonly Stroke[],
  widthMm: number,
  heightMm: number,
  letterMm: number,
): PlacedLabel[] {
  const taken: Box[] = holes.map(({ x, y, r }) => boxAt(x - r - CROSS_MM, y - r - CROSS_MM, 2 * (r + CROSS_MM), 2 * (r + CROSS_MM))); // prettier-ignore
  return holes.map((hole, i) => {
    const w = textWidth(hole.label, letterMm, LETTER_ADVANCE);
    const right = hole.x + hole.r + GAP_MM;
    const left = hole.x - hole.r - GAP_MM - w;
    const far = hole.r + CROSS_MM + GAP_MM;
    // Inwards first, within an arm of the centre cross; then above and below, each further out.
    const sides = hole.x > widthMm / 2 ? [left, right] : [right, left];
    const places = [
      ...sides.flatMap((x) => [0.8, -0.8 - letterMm].map((dy) => [x, hole.y + dy] as const)),
      ...[0, 1, 2, 3].flatMap((n) =>
        [far + n * (letterMm + GAP_MM), -far - letterMm - n * (letterMm + GAP_MM)].flatMap((dy) =>
          [hole.x - w / 2, ...sides].map((x) => [x, hole.y + dy] as const),
        ),
      ),
    ];
    let best: { x: number; y: number; harm: number } | null = null;
    for (const [x, y] of places) {
      if (x < -OVER_MM || x + w > widthMm + OVER_MM) continue;
      if (y < -OVER_MM || y + letterMm > heightMm + OVER_MM) continue;
      const box = boxAt(x - 0.3, y - 0.3, w + 0.6, letterMm + 0.6);
      const covered = taken.filter((other, k) => k !== i && overlap(box, other)).length;
      const harm = 100 * covered + crossings(box, outline);
      if (!best || harm < best.harm) best = { x, y, harm };
    }
    const { x, y } = best ?? { x: right, y: hole.y + 0.8 };
    taken.push(boxAt(x, y, w, letterMm));
    return { text: hole.label, x, y };
  });
}

const boxAt = (x: number, y: number, w: number, h: number): Box => ({ x0: x, y0: y, x1: x + w, y1: y + h }); // prettier-ignore

const overlap = (a: Box, b: Box): boolean =>
  a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;

/** Outline edges that enter the box. */
function crossings(box: Box, outline: readonly Stroke[]): number {
  let count = 0;
  for (const { points: p } of outline)
    for (let i = 0; i < p.length; i += 2) {
      const j = (i + 2) % p.length;
      if (enters(box, p[i] as number, p[i + 1] as number, p[j] as number, p[j + 1] as number)) count++; // prettier-ignore
    }
  return count;
}

/** Whether a segment meets a box: the part of it within each pair of sides (Liang and Barsky 1984). */
function enters({ x0, y0, x1, y1 }: Box, ax: number, ay: number, bx: number, by: number): boolean {
  let from = 0;
  let to = 1;
  for (const [a, d, low, high] of [
    [ax, bx - ax, x0, x1],
    [ay, by - ay, y0, y1],
  ] as const) {
    if (d === 0) {
      if (a < low || a > high) return false;
      continue;
    }
    const t0 = (low - a) / d;
    const t1 = (high - a) / d;
    from = Math.max(from, Math.min(t0, t1));
    to = Math.min(to, Math.max(t0, t1));
  }
  return from <= to;
}
