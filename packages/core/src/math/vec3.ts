/** Three numbers x, y, z. Plain tuples: a result must survive JSON and worker messages. */
export type Vec3 = readonly [number, number, number];

export const add = (a: Vec3, b: Vec3): Vec3 => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const sub = (a: Vec3, b: Vec3): Vec3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const scale = (a: Vec3, s: number): Vec3 => [a[0] * s, a[1] * s, a[2] * s];
export const negate = (a: Vec3): Vec3 => [-a[0], -a[1], -a[2]];
export const dot = (a: Vec3, b: Vec3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Vec3, b: Vec3): Vec3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
export const length = (a: Vec3): number => Math.hypot(a[0], a[1], a[2]);
export const distance = (a: Vec3, b: Vec3): number => length(sub(a, b));

/** Unit vector along `a`; a zero or non-finite vector comes back as null. */
export function unit(a: Vec3): Vec3 | null {
  const l = length(a);
  return l > 0 && Number.isFinite(l) ? [a[0] / l, a[1] / l, a[2] / l] : null;
}

/** Two unit vectors that make a right-handed frame (u, v, n) with the unit vector `n`. */
export function frameOf(n: Vec3): { readonly u: Vec3; readonly v: Vec3 } {
  // Duff et al. 2017, "Building an Orthonormal Basis, Revisited": no branch on a tiny component.
  const sign = n[2] >= 0 ? 1 : -1;
  const a = -1 / (sign + n[2]);
  const b = n[0] * n[1] * a;
  return {
    u: [1 + sign * n[0] * n[0] * a, sign * b, -sign * n[0]],
    v: [b, sign + n[1] * n[1] * a, -n[1]],
  };
}

/** The i-th point of a flat xyz array. */
export const pointAt = (xyz: ArrayLike<number>, i: number): Vec3 => [
  xyz[3 * i] as number,
  xyz[3 * i + 1] as number,
  xyz[3 * i + 2] as number,
];
