/**
 * A connected patch of material in a plane: flat x, y loops in mm, the outline counter-clockwise
 * first, then holes clockwise. Every figure below is a closed sum over the edges (Green's theorem).
 */
export interface Region {
  readonly loops: readonly Float64Array[];
}

export interface RegionFigures {
  readonly areaMm2: number;
  /** Length of all loops, mm. */
  readonly outlineMm: number;
  readonly centroid: readonly [number, number];
  /** Second moments about the centroid: the integrals of y2, x2 and xy, mm4. */
  readonly ixxMm4: number;
  readonly iyyMm4: number;
  readonly ixyMm4: number;
  /** Direction of the longest spread, radians in (-pi/2, pi/2]. */
  readonly principalAngle: number;
  /** Least elastic section modulus about any axis in the plane through the centroid, mm3. */
  readonly sectionModulusMm3: number;
}

/** Calls `visit(x0, y0, x1, y1)` for every edge. */
export function forEachEdge(
  region: Region,
  visit: (x0: number, y0: number, x1: number, y1: number) => void,
): void {
  for (const loop of region.loops) {
    const n = loop.length;
    for (let i = 0; i < n; i += 2) {
      const j = i + 2 < n ? i + 2 : 0;
      visit(loop[i] as number, loop[i + 1] as number, loop[j] as number, loop[j + 1] as number);
    }
  }
}

/** Area, centroid, second moments and moduli. Sums run about the first vertex, to keep digits. */
export function regionFigures(region: Region): RegionFigures {
  const ox = region.loops[0]?.[0] ?? 0;
  const oy = region.loops[0]?.[1] ?? 0;
  let a = 0, sx = 0, sy = 0, ixx = 0, iyy = 0, ixy = 0, outlineMm = 0; // prettier-ignore
  forEachEdge(region, (px, py, qx, qy) => {
    const x0 = px - ox, y0 = py - oy, x1 = qx - ox, y1 = qy - oy; // prettier-ignore
    const c = x0 * y1 - x1 * y0;
    a += c / 2;
    sx += ((x0 + x1) * c) / 6;
    sy += ((y0 + y1) * c) / 6;
    ixx += ((y0 * y0 + y0 * y1 + y1 * y1) * c) / 12;
    iyy += ((x0 * x0 + x0 * x1 + x1 * x1) * c) / 12;
    ixy += ((x0 * y1 + 2 * x0 * y0 + 2 * x1 * y1 + x1 * y0) * c) / 24;
    outlineMm += Math.hypot(x1 - x0, y1 - y0);
  });
  const cx = a > 0 ? sx / a : 0;
  const cy = a > 0 ? sy / a : 0;
  const ixxMm4 = ixx - a * cy * cy;
  const iyyMm4 = iyy - a * cx * cx;
  const ixyMm4 = ixy - a * cx * cy;
  const centroid = [ox + cx, oy + cy] as const;
  const figures = { areaMm2: a, outlineMm, centroid, ixxMm4, iyyMm4, ixyMm4 };
  return {
    ...figures,
    principalAngle: 0.5 * Math.atan2(2 * ixyMm4, iyyMm4 - ixxMm4),
    sectionModulusMm3: leastModulus(region, figures),
  };
}

type Moments = Pick<RegionFigures, 'centroid' | 'ixxMm4' | 'iyyMm4' | 'ixyMm4'>;

/**
 * Elastic section modulus I / c about the axis at angle `t` through the centroid, mm3, with c the
 * distance of the farthest fibre.
 */
export function modulusAbout(region: Region, m: Moments, t: number): number {
  const c = Math.cos(t);
  const s = Math.sin(t);
  const second = m.ixxMm4 * c * c + m.iyyMm4 * s * s - 2 * m.ixyMm4 * s * c;
  let far = 0;
  forEachEdge(region, (x, y) => {
    far = Math.max(far, Math.abs((y - m.centroid[1]) * c - (x - m.centroid[0]) * s));
  });
  return far > 0 ? second / far : 0;
}

/** Axes every 3 degrees, then the best one refined by bisection of its neighbourhood. */
function leastModulus(region: Region, m: Moments): number {
  // Only corners of the convex outline can be farthest; the sums need no more than those.
  let best = Infinity;
  let at = 0;
  for (let k = 0; k < 60; k++) {
    const w = modulusAbout(region, m, (k * Math.PI) / 60);
    if (w < best) [best, at] = [w, (k * Math.PI) / 60];
  }
  for (let step = Math.PI / 120; step > 1e-5; step /= 2)
    for (const t of [at - step, at + step]) {
      const w = modulusAbout(region, m, t);
      if (w < best) [best, at] = [w, t];
    }
  return Math.max(0, best === Infinity ? 0 : best);
}

/** Even-odd test; the loops of a region do not cross each other. */
export function insideRegion(region: Region, x: number, y: number): boolean {
  let inside = false;
  for (const loop of region.loops) {
    const n = loop.length;
    let x0 = loop[n - 2] as number;
    let y0 = loop[n - 1] as number;
    for (let i = 0; i < n; i += 2) {
      const x1 = loop[i] as number;
      const y1 = loop[i + 1] as number;
      if (y0 > y !== y1 > y && x < x0 + ((x1 - x0) * (y - y0)) / (y1 - y0)) inside = !inside;
      x0 = x1;
      y0 = y1;
    }
  }
  return inside;
}

/** Distance from a point to the nearest edge, mm; never negative, inside or out. */
export function distanceToOutline(region: Region, x: number, y: number): number {
  let best = Infinity;
  for (const loop of region.loops) {
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

export function regionBounds(region: Region): Box2 {
  let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity; // prettier-ignore
  forEachEdge(region, (x, y) => {
    x0 = Math.min(x0, x);
    y0 = Math.min(y0, y);
    x1 = Math.max(x1, x);
    y1 = Math.max(y1, y);
  });
  return { x0, y0, x1, y1 };
}

/**
 * Largest circle that lies in the region: its centre and radius, mm, to `precisionMm`.
 * Method: squares are bounded by (distance at the middle + half diagonal), largest bound first;
 * the distance is 1-Lipschitz, so nothing larger than radius + precision is missed.
 */
export function inscribedCircle(
  region: Region,
  precisionMm = 0.01,
): { readonly x: number; readonly y: number; readonly radiusMm: number } {
  const box = regionBounds(region);
  const size = Math.max(box.x1 - box.x0, box.y1 - box.y0);
  if (!(size > 0)) return { x: box.x0, y: box.y0, radiusMm: 0 };
  const signed = (x: number, y: number): number =>
    (insideRegion(region, x, y) ? 1 : -1) * distanceToOutline(region, x, y);
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
  /** Distance to the outline in mm, row by row; negative outside the region. */
  readonly distanceMm: Float32Array;
}

/** Distance to the outline over a square raster of about `cells` cells along the longer side. */
export function thicknessField(region: Region, cells = 48): ThicknessField {
  const box = regionBounds(region);
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
      const d = distanceToOutline(region, x, y);
      distanceMm[r * columns + c] = insideRegion(region, x, y) ? d : -d;
    }
  return { x0, y0, stepMm, columns, rows, distanceMm };
}
