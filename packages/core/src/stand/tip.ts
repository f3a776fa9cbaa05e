import type { Vec3 } from '../math/index.ts';

/** Convex outline on the floor, counter-clockwise, mm. */
export type Foot = readonly (readonly [number, number])[];

/** A mass, g, and where it is, mm. */
export interface Mass {
  readonly g: number;
  readonly at: Vec3;
}

export function together(masses: readonly Mass[]): Mass {
  const g = masses.reduce((s, m) => s + m.g, 0);
  const mean = (i: 0 | 1 | 2): number => masses.reduce((s, m) => s + m.g * m.at[i], 0) / g;
  return { g, at: [mean(0), mean(1), mean(2)] };
}

/** The edge over which the figure tips first. */
export function tipOf(
  foot: Foot,
  centre: Vec3,
): { angle: number; b: number; towards: readonly [number, number] } {
  let best = { angle: Infinity, b: Infinity, towards: [1, 0] as readonly [number, number] };
  foot.forEach((p, i) => {
    const q = foot[(i + 1) % foot.length] ?? p;
    const l = Math.hypot(q[0] - p[0], q[1] - p[1]);
    const n: readonly [number, number] = [(q[1] - p[1]) / l, (p[0] - q[0]) / l];
    const b = n[0] * (p[0] - centre[0]) + n[1] * (p[1] - centre[1]);
    const angle = Math.atan2(b, centre[2]);
    if (angle < best.angle) best = { angle, b, towards: n };
  });
  return best;
}

export function centroid(polygon: readonly (readonly [number, number])[]): [number, number] {
  let [a, x, y] = [0, 0, 0];
  polygon.forEach((p, i) => {
    const q = polygon[(i + 1) % polygon.length] ?? p;
    const c = p[0] * q[1] - p[1] * q[0];
    a += c;
    x += c * (p[0] + q[0]);
    y += c * (p[1] + q[1]);
  });
  return [x / (3 * a), y / (3 * a)];
}
