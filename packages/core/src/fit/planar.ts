/** Convex polygons in the plane, counter-clockwise; a point or a segment counts as one. */
export type Point2 = readonly [number, number];

/** All sums of a point of one and a point of the other: edges merged by direction. */
export function minkowskiSum(a: readonly Point2[], b: readonly Point2[]): Point2[] {
  const p = fromLowest(a);
  const q = fromLowest(b);
  const out: Point2[] = [];
  let i = 0;
  let j = 0;
  const at = (s: readonly Point2[], k: number): Point2 => s[k % s.length] as Point2;
  while (i < p.length || j < q.length) {
    const u = at(p, i);
    const v = at(q, j);
    out.push([u[0] + v[0], u[1] + v[1]]);
    const un = at(p, i + 1);
    const vn = at(q, j + 1);
    const turn = (un[0] - u[0]) * (vn[1] - v[1]) - (un[1] - u[1]) * (vn[0] - v[0]);
    const stepP = i < p.length && (j >= q.length || turn >= 0);
    const stepQ = j < q.length && (i >= p.length || turn <= 0);
    if (stepP) i++;
    if (stepQ) j++;
  }
  return out;
}

/** The same polygon beginning at its lowest, then leftmost corner. */
function fromLowest(s: readonly Point2[]): Point2[] {
  let k = 0;
  s.forEach((p, i) => {
    const best = s[k] as Point2;
    if (p[1] < best[1] || (p[1] === best[1] && p[0] < best[0])) k = i;
  });
  return [...s.slice(k), ...s.slice(0, k)];
}

/** Whether p lies inside by more than `margin` from every edge. */
export function strictlyInside(p: Point2, outline: readonly Point2[], margin: number): boolean {
  return outline.every((a, i) => {
    const b = outline[(i + 1) % outline.length] as Point2;
    const l = Math.hypot(b[0] - a[0], b[1] - a[1]);
    return l === 0 || (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) > margin * l;
  });
}

/** Points where the outlines cross. */
export function crossings(a: readonly Point2[], b: readonly Point2[]): Point2[] {
  const out: Point2[] = [];
  a.forEach((p, i) => {
    const q = a[(i + 1) % a.length] as Point2;
    b.forEach((r, j) => {
      const s = b[(j + 1) % b.length] as Point2;
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
