import { planarHull } from '../hull/index.ts';

/**
 * The best turn about Z for a footprint on a rectangular plan, exactly: `tau` is the least factor
 * by which the a x b plan must be blown up, `angle` the turn in radians, in [0, pi).
 *
 * Method: rotating calipers (Toussaint 1983). Between two neighbouring angles at which an edge of
 * the footprint's hull lies along a plan axis both widths are arcs of sinusoids, hence concave, so
 * the least of the larger quotient is at such an angle or where the two quotients cross, which is
 * a root in closed form. Carver 1957 gives the same answer for rectangles.
 */
export function bestYaw(
  xs: ArrayLike<number>,
  ys: ArrayLike<number>,
  a: number,
  b: number,
): { readonly tau: number; readonly angle: number } {
  const ids = planarHull(
    xs.length,
    (i) => xs[i] as number,
    (i) => ys[i] as number,
  );
  const n = ids.length;
  const px = ids.map((i) => xs[i] as number);
  const py = ids.map((i) => ys[i] as number);
  if (n < 2) return { tau: 0, angle: 0 };
  const stops = new Set<number>([0, Math.PI / 2]);
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const e = Math.atan2(
      (py[j] as number) - (py[i] as number),
      (px[j] as number) - (px[i] as number),
    );
    stops.add(wrap(e));
    stops.add(wrap(e + Math.PI / 2));
  }
  // Directions in the part that may become the machine's X axis, in order.
  const order = [...stops].sort((p, q) => p - q);
  const calipers = [0, 1, 2, 3].map(() => 0) as [number, number, number, number];
  let best = { tau: Infinity, angle: 0 };
  const advance = (side: 0 | 1 | 2 | 3, psi: number): number => {
    const angle = psi + (side * Math.PI) / 2;
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    const value = (i: number): number => c * (px[i] as number) + s * (py[i] as number);
    let i = calipers[side];
    // The first time round the whole outline is looked at; later the caliper only creeps on.
    if (psi === 0) for (let k = 0; k < n; k++) if (value(k) > value(i)) i = k;
    while (n > 1 && value((i + 1) % n) > value(i)) i = (i + 1) % n;
    calipers[side] = i;
    return i;
  };
  const look = (psi: number): void => {
    const c = Math.cos(psi);
    const s = Math.sin(psi);
    const [x1, y1, x0, y0] = [0, 1, 2, 3].map((k) => calipers[k as 0 | 1 | 2 | 3]) as [number, number, number, number]; // prettier-ignore
    const w = c * ((px[x1] as number) - (px[x0] as number)) + s * ((py[x1] as number) - (py[x0] as number)); // prettier-ignore
    const d = -s * ((px[y1] as number) - (px[y0] as number)) + c * ((py[y1] as number) - (py[y0] as number)); // prettier-ignore
    const tau = Math.max(w / a, d / b);
    if (tau < best.tau * (1 - 1e-15)) best = { tau, angle: wrap(-psi) };
  };
  for (let k = 0; k < order.length; k++) {
    const from = order[k] as number;
    const to = order[k + 1] ?? Math.PI;
    // The extreme points of the open interval are those at its middle.
    const middle = (from + to) / 2;
    if (k === 0) for (const side of [0, 1, 2, 3] as const) advance(side, 0);
    for (const side of [0, 1, 2, 3] as const) advance(side, middle);
    look(from);
    look(to);
    const [x1, y1, x0, y0] = calipers;
    const ux = ((px[x1] as number) - (px[x0] as number)) / a;
    const uy = ((py[x1] as number) - (py[x0] as number)) / a;
    const vx = ((px[y1] as number) - (px[y0] as number)) / b;
    const vy = ((py[y1] as number) - (py[y0] as number)) / b;
    // cos(psi) (ux - vy) + sin(psi) (uy + vx) = 0
    const cross = wrap(Math.atan2(vy - ux, uy + vx));
    if (cross > from && cross < to) look(cross);
  }
  return best;
}

/** An angle in [0, pi). */
function wrap(angle: number): number {
  const r = angle % Math.PI;
  const w = r < 0 ? r + Math.PI : r;
  return w >= Math.PI ? 0 : w;
}
