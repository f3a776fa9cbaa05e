import { thicknessField, type Patch } from './patch.ts';

/**
 * Ways in which a cut face lies on itself: turns about its centroid, and mirrored turns. A piece
 * could be glued on wrongly in any of them, unless the dowels forbid it.
 */
export interface FaceSymmetries {
  readonly cx: number;
  readonly cy: number;
  /** Per whole degree k: 1 if the face lies on itself after a turn by k. Entry 0 is the right way. */
  readonly turns: Uint8Array;
  /** The same for the mirror image y -> -y followed by a turn by k. */
  readonly mirrors: Uint8Array;
}

/** One hole of a pattern: centre and radius, face coordinates, mm. */
export interface Site {
  readonly x: number;
  readonly y: number;
  readonly r: number;
}

/** Holes whose radii differ by less take each other's dowel, mm (common practice, no source). */
const SAME_SIZE_MM = 0.4;
/** A turn this small that leaves each hole nearest to itself is the right assembly, with play. */
const PLAY_DEG = 20;

/**
 * Tries all whole degrees. Points of a raster over the face are turned; the face lies on itself
 * when at most `slack` of them leave it by more than one cell of the raster, so outlines that
 * nearly match count too: a wrong assembly need not be perfect to be mistaken for the right one.
 */
export function faceSymmetries(
  face: Patch,
  centre: readonly [number, number],
  slack = 0.03,
): FaceSymmetries {
  const field = thicknessField(face, 40);
  const [cx, cy] = centre;
  const points: number[] = [];
  for (let r = 0; r < field.rows; r++)
    for (let c = 0; c < field.columns; c++)
      if ((field.distanceMm[r * field.columns + c] as number) > 0)
        points.push(field.x0 + c * field.stepMm - cx, field.y0 + r * field.stepMm - cy);
  // Thin faces slip between the cells: then the corners of the outline stand for the face.
  if (points.length < 100)
    for (const loop of face.loops)
      for (let i = 0; i < loop.length; i += 2)
        points.push((loop[i] as number) - cx, (loop[i + 1] as number) - cy);
  const allowed = (slack * points.length) / 2;
  const lies = (degree: number, mirrored: boolean): number => {
    const c = Math.cos((degree * Math.PI) / 180);
    const s = Math.sin((degree * Math.PI) / 180);
    let outside = 0;
    for (let i = 0; i < points.length; i += 2) {
      const px = points[i] as number;
      const py = mirrored ? -(points[i + 1] as number) : (points[i + 1] as number);
      const x = cx + c * px - s * py;
      const y = cy + s * px + c * py;
      const column = Math.round((x - field.x0) / field.stepMm);
      const row = Math.round((y - field.y0) / field.stepMm);
      const known = column >= 0 && row >= 0 && column < field.columns && row < field.rows;
      const d = known ? (field.distanceMm[row * field.columns + column] as number) : -Infinity;
      if (d < -field.stepMm && ++outside > allowed) return 0;
    }
    return 1;
  };
  const degrees = Array.from({ length: 360 }, (_, k) => k);
  return {
    cx,
    cy,
    turns: Uint8Array.from(degrees, (k) => lies(k, false)),
    mirrors: Uint8Array.from(degrees, (k) => lies(k, true)),
  };
}

export interface Key {
  /** Least distance by which some hole misses in any wrong way tried, mm; Infinity if there is none. */
  readonly missMm: number;
  /** The wrong way that misses least. */
  readonly way: { readonly turnDeg: number; readonly mirrored: boolean } | null;
}

/**
 * How well a pattern of holes forbids the wrong ways. Besides the whole degrees it tries, next to
 * each, the very turns that bring one hole onto another, where a pattern is most in danger.
 * @param enough stop as soon as a way is found that misses by less
 */
export function keyOf(
  sites: readonly Site[],
  face: FaceSymmetries,
  enough = 0,
  mirrors = true,
): Key {
  let missMm = Infinity;
  let way: Key['way'] = null;
  const look = (angle: number, mirrored: boolean): void => {
    const m = miss(sites, face, angle, mirrored);
    if (m < missMm) {
      missMm = m;
      const turn = Math.round((angle * 18000) / Math.PI) / 100;
      way = { turnDeg: ((turn % 360) + 360) % 360, mirrored };
    }
  };
  const polar = sites.map((s) => Math.atan2(s.y - face.cy, s.x - face.cx));
  for (let i = 0; i < sites.length && missMm >= enough; i++)
    for (let j = 0; j < sites.length && missMm >= enough; j++) {
      const a = polar[i] as number;
      const b = polar[j] as number;
      if (nearSet(face.turns, b - a)) look(b - a, false);
      if (mirrors && nearSet(face.mirrors, b + a)) look(b + a, true);
    }
  for (let k = 0; k < 360 && missMm >= enough; k++) {
    if (k > 0 && face.turns[k]) look((k * Math.PI) / 180, false);
    if (mirrors && face.mirrors[k]) look((k * Math.PI) / 180, true);
  }
  return { missMm, way };
}

/** Whether the nearest whole degree, or a neighbour of it, is a symmetry other than standing still. */
function nearSet(set: Uint8Array, angle: number): boolean {
  const k = Math.round((angle * 180) / Math.PI);
  for (let d = -1; d <= 1; d++) if (set[(((k + d) % 360) + 360) % 360]) return true;
  return false;
}

/** Largest distance by which a hole, taken the wrong way, misses the nearest hole of its size. */
function miss(
  sites: readonly Site[],
  { cx, cy }: FaceSymmetries,
  angle: number,
  mirrored: boolean,
): number {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  let worst = 0;
  let moved = false;
  for (let i = 0; i < sites.length; i++) {
    const a = sites[i] as Site;
    const px = a.x - cx;
    const py = mirrored ? cy - a.y : a.y - cy;
    const x = cx + c * px - s * py;
    const y = cy + s * px + c * py;
    let nearest = Infinity;
    let at = -1;
    for (let j = 0; j < sites.length; j++) {
      const b = sites[j] as Site;
      if (Math.abs(a.r - b.r) >= SAME_SIZE_MM) continue;
      const d = Math.hypot(b.x - x, b.y - y);
      if (d < nearest) [nearest, at] = [d, j];
    }
    if (at !== i) moved = true;
    worst = Math.max(worst, nearest);
  }
  const turned = Math.abs(Math.atan2(s, c)) * (180 / Math.PI);
  return !mirrored && !moved && turned <= PLAY_DEG ? Infinity : worst;
}
