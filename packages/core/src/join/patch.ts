import { farthestFibre, regionFigures, windingOf } from '../mesh/index.ts';

/**
 * A connected patch of material in a plane: flat x, y loops in mm, the outline counter-clockwise
 * first, then holes clockwise.
 */
export interface Patch {
  readonly loops: readonly Float64Array[];
}

/** Calls `visit(x0, y0, x1, y1)` for every edge. */
export function forEachEdge(
  patch: Patch,
  visit: (x0: number, y0: number, x1: number, y1: number) => void,
): void {
  for (const loop of patch.loops) {
    const n = loop.length;
    for (let i = 0; i < n; i += 2) {
      const j = i + 2 < n ? i + 2 : 0;
      visit(loop[i] as number, loop[i + 1] as number, loop[j] as number, loop[j + 1] as number);
    }
  }
}

/**
 * Least elastic section modulus about any axis in the plane through the centroid, mm3. It need not
 * be about a principal axis: a square is weakest over its corner. Axes every 3 degrees, then the
 * best one refined by halving steps.
 */
export function leastModulus(patch: Patch): number {
  const { ixMm4, iyMm4, ixyMm4, centroidMm } = regionFigures(patch.loops);
  const about = (t: number): number => {
    const c = Math.cos(t);
    const s = Math.sin(t);
    const fibre = farthestFibre(patch.loops, centroidMm, t);
    return fibre > 0 ? (ixMm4 * c * c + iyMm4 * s * s - 2 * ixyMm4 * s * c) / fibre : 0;
  };
  let best = Infinity;
  let at = 0;
  const look = (t: number): void => {
    const w = about(t);
    if (w < best) [best, at] = [w, t];
  };
  for (let k = 0; k < 60; k++) look((k * Math.PI) / 60);
  for (let step = Math.PI / 120; step > 1e-5; step /= 2)
    for (const t of [at - step, at + step]) look(t);
  return Math.max(0, best);
}

/** Direction in which the patch is longest, radians in (-pi/2, pi/2]. */
export function longDirection(patch: Patch): number {
  return regionFigures(patch.loops).principal[0].angle;
}

/** Whether (x, y) is in the material. */
export const insidePatch = (patch: Patch, x: number, y: number): boolean =>
  windingOf(patch.loops, x, y) > 0;

/** Distance from a point to the nearest edge, mm; never negative, inside or out. */
export function distanceToOutline(patch: Patch, x: number, y: number): number {
  let best = Infinity;
  for (const loop of patch.loops) {
    const n = loop.length;
    let x0 = loop[n - 2] as number;
    let y0 = loop[n - 1] as number;
    for (let i = 0; i < n; i += 2) {
      const x1 = loop[i] as number;
      const y1 = loop[i + 1] as number;
      const dx = x1 - x0;
      const dy = y1 - y0;
      const l2 = dx * dx + dy * dy;
      const t = l2 > 0 ? Math.max(0, Math.min(1, ((x - x0) * dx + (y - y0) * dy) / l2)) : 0;
      const ex = x0 + t * dx - x;
      const ey = y0 + t * dy - y;
      const d = ex * ex + ey * ey;
      if (d < best) best = d;
      x0 = x1;
      y0 = y1;
    }
  }
  return Math.sqrt(best);
}

export interface Box2 {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

export function patchBounds(patch: Patch): Box2 {
  let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity; // prettier-ignore
  forEachEdge(patch, (x, y) => {
    x0 = Math.min(x0, x);
    y0 = Math.min(y0, y);
    x1 = Math.max(x1, x);
    y1 = Math.max(y1, y);
  });
  return { x0, y0, x1, y1 };
}

/**
 * Largest circle that lies in the patch: its centre and radius, mm, to `precisionMm`.
 * Method: squares are bounded by (distance at the middle + half diagonal), largest bound first;
 * the distance is 1-Lipschitz, so nothing larger than radius + precision is missed.
 */
export function inscribedCircle(
  patch: Patch,
  precisionMm = 0.01,
): { readonly x: number; readonly y: number; readonly radiusMm: number } {
  const box = patchBounds(patch);
  const size = Math.max(box.x1 - box.x0, box.y1 - box.y0);
  if (!(size > 0)) return { x: box.x0, y: box.y0, radiusMm: 0 };
  const signed = (x: number, y: number): number =>
    (insidePatch(patch, x, y) ? 1 : -1) * distanceToOutline(patch, x, y);
  let best = { x: box.x0, y: box.y0, radiusMm: 0 };
  let cells: { x: number; y: number; h: number; d: number }[] = [];
  const look = (x: number, y: number, h: number, into: typeof cells): void => {
    const d = signed(x, y);
    if (d > best.radiusMm) best = { x, y, radiusMm: d };
    into.push({ x, y, h, d });
  };
  const h0 = Math.max(Math.min(box.x1 - box.x0, box.y1 - box.y0), size / 16) / 2;
  for (let x = box.x0 + h0; x < box.x1 + h0; x += 2 * h0)
    for (let y = box.y0 + h0; y < box.y1 + h0; y += 2 * h0) look(x, y, h0, cells);
  while (cells.length) {
    const next: typeof cells = [];
    cells.sort((a, b) => b.d + b.h * Math.SQRT2 - (a.d + a.h * Math.SQRT2));
    for (const c of cells) {
      if (c.d + c.h * Math.SQRT2 <= best.radiusMm + precisionMm) break;
      const h = c.h / 2;
      look(c.x - h, c.y - h, h, next);
      look(c.x + h, c.y - h, h, next);
      look(c.x - h, c.y + h, h, next);
      look(c.x + h, c.y + h, h, next);
    }
    cells = next;
  }
  return best;
}

export interface ThicknessField {
  /** Middle of the first cell, and the side of a cell, mm. */
  readonly x0: number;
  readonly y0: number;
  readonly stepMm: number;
  readonly columns: number;
  readonly rows: number;
  /** Distance to the outline in mm, row by row; negative outside the patch. */
  readonly distanceMm: Float32Array;
}

/** Distance to the outline over a square raster of about `cells` cells along the longer side. */
export function thicknessField(patch: Patch, cells = 48): ThicknessField {
  const box = patchBounds(patch);
  const stepMm = Math.max(box.x1 - box.x0, box.y1 - box.y0) / cells || 1;
  const columns = Math.max(1, Math.ceil((box.x1 - box.x0) / stepMm));
  const rows = Math.max(1, Math.ceil((box.y1 - box.y0) / stepMm));
  const distanceMm = new Float32Array(columns * rows);
  const x0 = (box.x0 + box.x1 - (columns - 1) * stepMm) / 2;
  const y0 = (box.y0 + box.y1 - (rows - 1) * stepMm) / 2;
  for (let r = 0; r < rows; r++)
    for (let c = 0; c < columns; c++) {
      const x = x0 + c * stepMm;
      const y = y0 + r * stepMm;
      const d = distanceToOutline(patch, x, y);
      distanceMm[r * columns + c] = insidePatch(patch, x, y) ? d : -d;
    }
  return { x0, y0, stepMm, columns, rows, distanceMm };
}
