import { planarHull } from './flat-hull.ts';

/** A point of a plane, mm. */
export type Vec2 = readonly [number, number];
/** Convex polygon, corners counter-clockwise, no corner twice. */
export type Convex = readonly Vec2[];

const cross = (o: Vec2, a: Vec2, b: Vec2): number =>
  (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);

/** Outline of the convex hull of points in the plane; fewer than 3 corners for flat sets. */
export function convexOutline(points: readonly Vec2[]): Vec2[] {
  const at = (i: number): Vec2 => points[i] as Vec2;
  return planarHull(points.length, (i) => at(i)[0], (i) => at(i)[1]).map(at); // prettier-ignore
}

export function areaOf(polygon: readonly Vec2[]): number {
  let twice = 0;
  polygon.forEach((p, i) => {
    const q = polygon[(i + 1) % polygon.length] as Vec2;
    twice += p[0] * q[1] - p[1] * q[0];
  });
  return twice / 2;
}

/** How far the polygon reaches along a direction, mm times the direction's length. */
export const reach = (polygon: Convex, n: Vec2): number =>
  polygon.reduce((m, p) => Math.max(m, p[0] * n[0] + p[1] * n[1]), -Infinity);

export const turned = (polygon: Convex, angle: number): Vec2[] => {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  return polygon.map(([x, y]): Vec2 => [c * x - s * y, s * x + c * y]);
};

export const moved = (polygon: Convex, by: Vec2): Vec2[] =>
  polygon.map(([x, y]): Vec2 => [x + by[0], y + by[1]]);

/**
 * Minkowski sum of two convex polygons, points or segments: all sums of a point of one and a point
 * of the other. The edges of both, merged by direction; parallel ones become one.
 */
export function minkowskiSum(a: Convex, b: Convex): Vec2[] {
  const p = fromLowest(a);
  const q = fromLowest(b);
  const out: Vec2[] = [];
  for (let i = 0, j = 0; i < p.length || j < q.length;) {
    const u = p[i % p.length] as Vec2;
    const v = q[j % q.length] as Vec2;
    out.push([u[0] + v[0], u[1] + v[1]]);
    const un = p[(i + 1) % p.length] as Vec2;
    const vn = q[(j + 1) % q.length] as Vec2;
    const turn = (un[0] - u[0]) * (vn[1] - v[1]) - (un[1] - u[1]) * (vn[0] - v[0]);
    const stepP = i < p.length && (j >= q.length || turn >= 0);
    const stepQ = j < q.length && (i >= p.length || turn <= 0);
    if (stepP) i++;
    if (stepQ) j++;
  }
  return out;
}

function fromLowest(polygon: Convex): Vec2[] {
  let k = 0;
  polygon.forEach((p, i) => {
    const low = polygon[k] as Vec2;
    if (p[1] < low[1] || (p[1] === low[1] && p[0] < low[0])) k = i;
  });
  return [...polygon.slice(k), ...polygon.slice(0, k)];
}

/** The polygon cut back to n . p <= limit. */
export function clipped(polygon: Convex, n: Vec2, limit: number): Vec2[] {
  const out: Vec2[] = [];
  polygon.forEach((p, i) => {
    const q = polygon[(i + 1) % polygon.length] as Vec2;
    const dp = p[0] * n[0] + p[1] * n[1] - limit;
    const dq = q[0] * n[0] + q[1] * n[1] - limit;
    if (dp <= 0) out.push(p);
    if (dp * dq < 0) {
      const t = dp / (dp - dq);
      out.push([p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]);
    }
  });
  return out;
}

/** Whether the point lies inside by more than `tolerance` (mm). */
export function strictlyInside(polygon: Convex, p: Vec2, tolerance = 1e-7): boolean {
  return polygon.every((a, i) => {
    const b = polygon[(i + 1) % polygon.length] as Vec2;
    return cross(a, b, p) > tolerance * Math.hypot(b[0] - a[0], b[1] - a[1]);
  });
}

/** Points where the outlines cross. */
export function crossings(a: Convex, b: Convex): Vec2[] {
  const out: Vec2[] = [];
  a.forEach((p, i) => {
    const q = a[(i + 1) % a.length] as Vec2;
    b.forEach((r, j) => {
      const s = b[(j + 1) % b.length] as Vec2;
      const dx = q[0] - p[0], dy = q[1] - p[1], ex = s[0] - r[0], ey = s[1] - r[1]; // prettier-ignore
      const d = dx * ey - dy * ex;
      if (d === 0) return;
      const t = ((r[0] - p[0]) * ey - (r[1] - p[1]) * ex) / d;
      const u = ((r[0] - p[0]) * dy - (r[1] - p[1]) * dx) / d;
      if (t >= 0 && t <= 1 && u >= 0 && u <= 1) out.push([p[0] + t * dx, p[1] + t * dy]);
    });
  });
  return out;
}

/**
 * A convex polygon around the given one with at most `corners` corners: the edge whose loss adds the
 * least area goes first, its neighbours are lengthened until they meet.
 */
export function coarsened(polygon: Convex, corners: number): Vec2[] {
  const out = [...polygon];
  while (out.length > corners) {
    let best: { i: number; at: Vec2; area: number } | undefined;
    for (let i = 0; i < out.length; i++) {
      const n = out.length;
      const [a, b, c, d] = [i + n - 1, i, i + 1, i + 2].map((k) => out[k % n] as Vec2) as [Vec2, Vec2, Vec2, Vec2]; // prettier-ignore
      const at = meeting(a, b, d, c);
      if (!at) continue;
      const area = Math.abs(areaOf([b, at, c]));
      if (area < (best?.area ?? Infinity)) best = { i, at, area };
    }
    if (!best) break;
    out[best.i] = best.at;
    out.splice((best.i + 1) % out.length, 1);
  }
  return out;
}

/** Where the ray a->b, carried on past b, meets the ray d->c carried on past c; null if never. */
function meeting(a: Vec2, b: Vec2, d: Vec2, c: Vec2): Vec2 | null {
  const u: Vec2 = [b[0] - a[0], b[1] - a[1]];
  const v: Vec2 = [c[0] - d[0], c[1] - d[1]];
  const det = u[0] * v[1] - u[1] * v[0];
  if (Math.abs(det) < 1e-12 * Math.hypot(...u) * Math.hypot(...v)) return null;
  const w: Vec2 = [c[0] - b[0], c[1] - b[1]];
  const s = (w[0] * v[1] - w[1] * v[0]) / det;
  const t = (w[0] * u[1] - w[1] * u[0]) / det;
  return s >= 0 && t >= 0 ? [b[0] + s * u[0], b[1] + s * u[1]] : null;
}
