import { MinMaxLp } from './min-max-lp.ts';
import type { FreeSpace } from './free-space.ts';

/**
 * How well a footprint fits a plan without turning: `tau` is the least factor by which the plan
 * must be blown up about its centre to hold it (1 / tau is the footprint's largest scale), `shift`
 * the footprint's move that does it, at scale 1, towards the plan's centre as origin.
 */
export interface PlanFit {
  readonly tau: number;
  readonly shift: readonly [number, number];
}

/** @param xs, ys footprint points (its convex hull is what counts), mm */
export function fitPlan(xs: ArrayLike<number>, ys: ArrayLike<number>, space: FreeSpace): PlanFit {
  const { plan } = space;
  if (plan.kind === 'box') {
    const [x0, x1] = range(xs);
    const [y0, y1] = range(ys);
    return {
      tau: Math.max((x1 - x0) / plan.sizeMm[0], (y1 - y0) / plan.sizeMm[1]),
      shift: [-(x0 + x1) / 2, -(y0 + y1) / 2],
    };
  }
  if (plan.kind === 'disc') {
    const c = smallestCircle(xs, ys);
    return { tau: c.r / plan.radiusMm, shift: [-c.x, -c.y] };
  }
  return fitPolygon(xs, ys, plan.edges);
}

function range(xs: ArrayLike<number>): [number, number] {
  let lo = Infinity;
  let hi = -Infinity;
  for (let i = 0; i < xs.length; i++) {
    const x = xs[i] as number;
    if (x < lo) lo = x;
    if (x > hi) hi = x;
  }
  return [lo, hi];
}

/** Least tau with n . p + n . v <= tau b on every edge: two unknowns beside tau. */
function fitPolygon(
  xs: ArrayLike<number>,
  ys: ArrayLike<number>,
  edges: readonly { readonly n: readonly [number, number]; readonly b: number }[],
): PlanFit {
  const [x0, x1] = range(xs);
  const [y0, y1] = range(ys);
  const cx = (x0 + x1) / 2;
  const cy = (y0 + y1) / 2;
  const unit = Math.max(x1 - x0, y1 - y0, 1e-12);
  const lp = new MinMaxLp(2, edges.length);
  lp.box.fill(4);
  for (const { n, b } of edges) {
    let most = -Infinity;
    for (let i = 0; i < xs.length; i++)
      most = Math.max(most, n[0] * ((xs[i] as number) - cx) + n[1] * ((ys[i] as number) - cy));
    lp.addRow(most / b, [(n[0] * unit) / b, (n[1] * unit) / b]);
  }
  lp.solve();
  const v: [number, number] = [(lp.x[0] as number) * unit - cx, (lp.x[1] as number) * unit - cy];
  // What is reported is measured at the shift found, not read off the programme.
  let tau = 0;
  for (const { n, b } of edges)
    for (let i = 0; i < xs.length; i++)
      tau = Math.max(
        tau,
        (n[0] * ((xs[i] as number) + v[0]) + n[1] * ((ys[i] as number) + v[1])) / b,
      );
  return { tau, shift: v };
}

export interface Circle {
  readonly x: number;
  readonly y: number;
  readonly r: number;
}

/**
 * Smallest circle around planar points; r is 0 for one place and for none.
 * Method: move-to-front, after Welzl 1991: any point outside the circle so far lies on the next
 * one's rim. Expected linear time once the points are in no particular order; they are visited by
 * a fixed stride, so that the same input gives the same bytes.
 */
export function smallestCircle(xs: ArrayLike<number>, ys: ArrayLike<number>): Circle {
  const n = xs.length;
  if (n === 0) return { x: 0, y: 0, r: 0 };
  const stride = strideFor(n);
  const at = (k: number): readonly [number, number] => {
    const i = (k * stride) % n;
    return [xs[i] as number, ys[i] as number];
  };
  const [fx, fy] = at(0);
  let c: Circle = { x: fx, y: fy, r: 0 };
  const outside = (p: readonly [number, number]): boolean =>
    Math.hypot(p[0] - c.x, p[1] - c.y) > c.r * (1 + 1e-12);
  for (let i = 1; i < n; i++) {
    const p = at(i);
    if (!outside(p)) continue;
    c = { x: p[0], y: p[1], r: 0 };
    for (let j = 0; j < i; j++) {
      const q = at(j);
      if (!outside(q)) continue;
      c = circleOver(p, q);
      for (let k = 0; k < j; k++) {
        const s = at(k);
        if (outside(s)) c = circleThrough(p, q, s);
      }
    }
  }
  // Rounding may leave a rim point outside by an ulp or so: the radius is measured, not assumed.
  let r = 0;
  for (let i = 0; i < n; i++)
    r = Math.max(r, Math.hypot((xs[i] as number) - c.x, (ys[i] as number) - c.y));
  return { x: c.x, y: c.y, r };
}

/** A step coprime to n near the golden section, so that steps scatter. */
function strideFor(n: number): number {
  const gcd = (a: number, b: number): number => (b === 0 ? a : gcd(b, a % b));
  let s = Math.max(1, Math.round(n * 0.618));
  while (gcd(s, n) !== 1) s++;
  return s;
}

const circleOver = (p: readonly [number, number], q: readonly [number, number]): Circle => ({
  x: (p[0] + q[0]) / 2,
  y: (p[1] + q[1]) / 2,
  r: Math.hypot(p[0] - q[0], p[1] - q[1]) / 2,
});

function circleThrough(
  p: readonly [number, number],
  q: readonly [number, number],
  s: readonly [number, number],
): Circle {
  const bx = q[0] - p[0], by = q[1] - p[1], cx = s[0] - p[0], cy = s[1] - p[1]; // prettier-ignore
  const d = 2 * (bx * cy - by * cx);
  const longest = [circleOver(p, q), circleOver(q, s), circleOver(p, s)].reduce((a, b) =>
    a.r >= b.r ? a : b,
  );
  if (Math.abs(d) < 1e-14 * longest.r * longest.r) return longest;
  const bb = bx * bx + by * by;
  const cc = cx * cx + cy * cy;
  const x = (cy * bb - by * cc) / d;
  const y = (bx * cc - cx * bb) / d;
  return { x: p[0] + x, y: p[1] + y, r: Math.hypot(x, y) };
}
