import type { Envelope } from '../envelope/index.ts';

/**
 * What is left of an envelope once its margins are taken off, keep-outs not yet regarded: an
 * upright prism over a convex plan. Plan coordinates are the envelope's; `centre` is a point well
 * inside, and half-plane edges read n . (p - centre) <= b with n of length 1.
 */
export type Plan =
  | { readonly kind: 'box'; readonly sizeMm: readonly [number, number] }
  | { readonly kind: 'disc'; readonly radiusMm: number }
  | { readonly kind: 'polygon'; readonly edges: readonly Edge[] };

export interface Edge {
  readonly n: readonly [number, number];
  readonly b: number;
}

export interface FreeSpace {
  readonly plan: Plan;
  readonly centre: readonly [number, number];
  readonly heightMm: number;
  /** Volume and longest straight line inside, mm3 and mm. */
  readonly volumeMm3: number;
  readonly diagonalMm: number;
  /** Mean width of the free space, mm: what a convex body inside can never exceed. */
  readonly meanWidthMm: number;
}

/** The free space of an envelope, or null when the margins leave nothing. */
export function freeSpaceOf(envelope: Envelope): FreeSpace | null {
  const { plate, marginSideMm: side } = envelope;
  const heightMm = envelope.heightMm - envelope.marginTopMm;
  if (!(heightMm > 0)) return null;
  if (plate.shape === 'box') {
    const a = plate.widthMm - 2 * side;
    const b = plate.depthMm - 2 * side;
    if (!(a > 0 && b > 0)) return null;
    return {
      plan: { kind: 'box', sizeMm: [a, b] },
      centre: [0, 0],
      heightMm,
      volumeMm3: a * b * heightMm,
      diagonalMm: Math.hypot(a, b, heightMm),
      meanWidthMm: (a + b + heightMm) / 2,
    };
  }
  if (plate.shape === 'round') {
    const r = plate.diameterMm / 2 - side;
    if (!(r > 0)) return null;
    return {
      plan: { kind: 'disc', radiusMm: r },
      centre: [0, 0],
      heightMm,
      volumeMm3: Math.PI * r * r * heightMm,
      diagonalMm: Math.hypot(2 * r, heightMm),
      meanWidthMm: (heightMm + Math.PI * r) / 2,
    };
  }
  return polygonSpace(plate.outlineMm, side, heightMm);
}

function polygonSpace(
  outline: readonly (readonly [number, number])[],
  side: number,
  heightMm: number,
): FreeSpace | null {
  // Eroding a convex outline: clip a copy of it by every edge moved inwards.
  let points = outline.map(([x, y]): [number, number] => [x, y]);
  outline.forEach(([x0, y0], i) => {
    const [x1, y1] = outline[(i + 1) % outline.length] as readonly [number, number];
    const l = Math.hypot(x1 - x0, y1 - y0);
    if (!(l > 0)) return;
    const n: [number, number] = [(y1 - y0) / l, (x0 - x1) / l];
    points = clip(points, n, n[0] * x0 + n[1] * y0 - side);
  });
  const area = areaOf(points);
  if (points.length < 3 || !(area > 0)) return null;
  const centre = centroidOf(points);
  const edges: Edge[] = [];
  let perimeter = 0;
  let diameter = 0;
  points.forEach(([x0, y0], i) => {
    const [x1, y1] = points[(i + 1) % points.length] as [number, number];
    const l = Math.hypot(x1 - x0, y1 - y0);
    perimeter += l;
    for (const [x, y] of points) diameter = Math.max(diameter, Math.hypot(x - x0, y - y0));
    if (!(l > 1e-12 * Math.sqrt(area))) return;
    const n: [number, number] = [(y1 - y0) / l, (x0 - x1) / l];
    edges.push({ n, b: n[0] * (x0 - centre[0]) + n[1] * (y0 - centre[1]) });
  });
  return {
    plan: { kind: 'polygon', edges },
    centre,
    heightMm,
    volumeMm3: area * heightMm,
    diagonalMm: Math.hypot(diameter, heightMm),
    meanWidthMm: (heightMm + perimeter / 2) / 2,
  };
}

/** The part of a convex polygon where n . p <= b. */
export function clip(
  points: readonly (readonly [number, number])[],
  n: readonly [number, number],
  b: number,
): [number, number][] {
  const out: [number, number][] = [];
  points.forEach((p, i) => {
    const q = points[(i + 1) % points.length] as readonly [number, number];
    const dp = n[0] * p[0] + n[1] * p[1] - b;
    const dq = n[0] * q[0] + n[1] * q[1] - b;
    if (dp <= 0) out.push([p[0], p[1]]);
    if (dp < 0 !== dq < 0 && dp !== 0 && dq !== 0) {
      const t = dp / (dp - dq);
      out.push([p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]);
    }
  });
  return out;
}

export function areaOf(points: readonly (readonly [number, number])[]): number {
  let s = 0;
  points.forEach(([x0, y0], i) => {
    const [x1, y1] = points[(i + 1) % points.length] as readonly [number, number];
    s += x0 * y1 - x1 * y0;
  });
  return s / 2;
}

function centroidOf(points: readonly (readonly [number, number])[]): [number, number] {
  const [ox, oy] = points[0] as readonly [number, number];
  let s = 0;
  let x = 0;
  let y = 0;
  points.forEach(([ax, ay], i) => {
    const [bx, by] = points[(i + 1) % points.length] as readonly [number, number];
    const c = (ax - ox) * (by - oy) - (bx - ox) * (ay - oy);
    s += c;
    x += c * (ax + bx - 2 * ox);
    y += c * (ay + by - 2 * oy);
  });
  return [ox + x / (3 * s), oy + y / (3 * s)];
}
