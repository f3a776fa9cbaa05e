import { fromFrame, planeFrame, type Mesh, type Plane } from '../mesh/index.ts';
import type { Vec3 } from '../math/index.ts';
import { clipLoops, EDGE, halfPlaneOf, traceOutline, type Loop } from './outline.ts';
import type { Seam } from './types.ts';

export interface SidedPlane {
  readonly plane: Plane;
  readonly side: 'below' | 'above';
}

/** A connected region of material in a cut: one outer loop and its holes. */
export interface Region {
  readonly areaMm2: number;
  /** Outer outline and holes, edges on earlier cuts included, mm. */
  readonly outlineMm: number;
}

/** The outline of a cut through what earlier cuts left of the part. */
export function outlineWithin(
  mesh: Mesh,
  plane: Plane,
  within: readonly SidedPlane[],
  seenFrom: Vec3 | null,
): Loop[] {
  let loops = traceOutline(mesh, plane, seenFrom);
  for (const bound of within) {
    const half = halfPlaneOf(plane, bound.plane, bound.side);
    if (half === 'nothing') return [];
    if (half) loops = clipLoops(loops, half);
  }
  return loops;
}

/** Twice the signed area of a loop: positive round material, negative round a hole. */
export function loopArea(loop: Loop): number {
  let sum = 0;
  const n = loop.xy.length;
  const x0 = loop.xy[0] as number;
  const y0 = loop.xy[1] as number;
  for (let i = 0; i < n; i += 2) {
    const j = (i + 2) % n;
    sum +=
      ((loop.xy[i] as number) - x0) * ((loop.xy[j + 1] as number) - y0) -
      ((loop.xy[j] as number) - x0) * ((loop.xy[i + 1] as number) - y0);
  }
  return sum / 2;
}

function loopLength(loop: Loop, counts: (kind: number) => boolean): number {
  const n = loop.xy.length;
  let sum = 0;
  for (let s = 0; s < loop.kinds.length; s++) {
    if (!counts(loop.kinds[s] as number)) continue;
    const i = (2 * s) % n;
    const j = (i + 2) % n;
    sum += Math.hypot(
      (loop.xy[j] as number) - (loop.xy[i] as number),
      (loop.xy[j + 1] as number) - (loop.xy[i + 1] as number),
    );
  }
  return sum;
}

function contains(loop: Loop, x: number, y: number): boolean {
  let inside = false;
  const n = loop.xy.length;
  for (let i = 0, j = n - 2; i < n; j = i, i += 2) {
    const yi = loop.xy[i + 1] as number;
    const yj = loop.xy[j + 1] as number;
    if (yi > y === yj > y) continue;
    const xi = loop.xy[i] as number;
    const xj = loop.xy[j] as number;
    if (x < xi + ((y - yi) / (yj - yi)) * (xj - xi)) inside = !inside;
  }
  return inside;
}

/** Regions of a section: each hole belongs to the smallest outer loop around it. */
export function regionsOf(loops: readonly Loop[]): Region[] {
  const outer = loops.filter((l) => l.closed && loopArea(l) > 1e-9);
  const regions = outer.map((loop) => ({
    loop,
    areaMm2: loopArea(loop),
    outlineMm: loopLength(loop, () => true),
    size: loopArea(loop),
  }));
  for (const hole of loops) {
    if (!hole.closed || loopArea(hole) >= -1e-9) continue;
    const home = regions
      .filter((r) => contains(r.loop, hole.xy[0] as number, hole.xy[1] as number))
      .sort((a, b) => a.size - b.size)[0];
    if (!home) continue;
    home.areaMm2 += loopArea(hole);
    home.outlineMm += loopLength(hole, () => true);
  }
  return regions.map(({ areaMm2, outlineMm }) => ({ areaMm2, outlineMm }));
}

/**
 * Figures of a cut face from its outlines. Area, centroid and second moments are line integrals
 * round the loops (Green's theorem), exact for the mesh; overlapping shells count twice.
 * @param closed false for an open mesh: only lengths are given
 */
export function seamOf(loops: readonly Loop[], plane: Plane, closed: boolean): Seam {
  const outer = loops.filter((l) => !l.closed || loopArea(l) > 0);
  const inner = loops.filter((l) => l.closed && loopArea(l) <= 0);
  const total = (list: readonly Loop[], counts: (kind: number) => boolean): number =>
    list.reduce((sum, l) => sum + loopLength(l, counts), 0);
  const lengths = {
    lengthMm: total(outer, (k) => k !== EDGE.cut),
    innerMm: total(inner, (k) => k !== EDGE.cut),
    seenMm: total(outer, (k) => k === EDGE.seen),
  };
  const m = momentsOf(loops);
  // A plane may pass between two bodies: a face of nothing, and that is known.
  const none = closed && loops.length === 0 ? 0 : null;
  if (!closed || loops.some((l) => !l.closed) || !(m.area > 0))
    return {
      ...lengths,
      areaMm2: none,
      centroidMm: null,
      sectionModulusMm3: null,
      meanThicknessMm: null,
      regions: none,
      leastThicknessMm: null,
    };
  const regions = regionsOf(loops);
  const thickness = (r: Region): number => (2 * r.areaMm2) / r.outlineMm;
  const outline = total(loops, () => true);
  return {
    ...lengths,
    areaMm2: m.area,
    centroidMm: fromFrame(planeFrame(plane), m.x, m.y),
    sectionModulusMm3: leastModulus(loops, m),
    meanThicknessMm: (2 * m.area) / outline,
    regions: regions.length,
    leastThicknessMm: Math.min(...regions.map(thickness)),
  };
}

interface Moments {
  readonly area: number;
  readonly x: number;
  readonly y: number;
  /** Second moments about the centroid: integrals of x*x, x*y, y*y. */
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
}

function momentsOf(loops: readonly Loop[]): Moments {
  const first = loops[0];
  const ox = first?.xy[0] ?? 0;
  const oy = first?.xy[1] ?? 0;
  let a = 0, sx = 0, sy = 0, xx = 0, xy = 0, yy = 0; // prettier-ignore
  for (const loop of loops) {
    const n = loop.xy.length;
    for (let i = 0; i < n; i += 2) {
      const j = (i + 2) % n;
      const x0 = (loop.xy[i] as number) - ox, y0 = (loop.xy[i + 1] as number) - oy; // prettier-ignore
      const x1 = (loop.xy[j] as number) - ox, y1 = (loop.xy[j + 1] as number) - oy; // prettier-ignore
      const c = x0 * y1 - x1 * y0;
      a += c / 2;
      sx += (c * (x0 + x1)) / 6;
      sy += (c * (y0 + y1)) / 6;
      xx += (c * (x0 * x0 + x0 * x1 + x1 * x1)) / 12;
      yy += (c * (y0 * y0 + y0 * y1 + y1 * y1)) / 12;
      xy += (c * (x0 * y1 + 2 * x0 * y0 + 2 * x1 * y1 + x1 * y0)) / 24;
    }
  }
  const x = a !== 0 ? sx / a : 0;
  const y = a !== 0 ? sy / a : 0;
  return {
    area: a,
    x: x + ox,
    y: y + oy,
    xx: xx - a * x * x,
    xy: xy - a * x * y,
    yy: yy - a * y * y,
  };
}

function leastModulus(loops: readonly Loop[], m: Moments): number {
  const principal = Math.atan2(2 * m.xy, m.xx - m.yy) / 2;
  const angles = [principal, principal + Math.PI / 2];
  for (let k = 0; k < 60; k++) angles.push((k * Math.PI) / 60);
  let least = Infinity;
  for (const angle of angles) {
    // Distance from the axis is measured along (c, s).
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    let reach = 0;
    for (const { xy } of loops)
      for (let i = 0; i < xy.length; i += 2) {
        const d = Math.abs(((xy[i] as number) - m.x) * c + ((xy[i + 1] as number) - m.y) * s);
        if (d > reach) reach = d;
      }
    if (reach > 0)
      least = Math.min(least, (c * c * m.xx + 2 * c * s * m.xy + s * s * m.yy) / reach);
  }
  return least;
}
