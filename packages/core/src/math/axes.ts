import type { Mat3 } from './rotation.ts';
import type { Vec3 } from './vec3.ts';

/** Three unit vectors, square to each other. */
export type Axes = readonly [Vec3, Vec3, Vec3];

/** Eigenvectors of a symmetric matrix, largest eigenvalue first. Method: Jacobi's rotations (1846). */
export function symmetricAxes(m: Mat3): Axes {
  const a = [...m];
  const v = [1, 0, 0, 0, 1, 0, 0, 0, 1];
  const at = (x: number[], r: number, c: number): number => x[3 * r + c] as number;
  for (let sweep = 0; sweep < 24; sweep++)
    for (const [p, q] of [[0, 1], [0, 2], [1, 2]] as const) {
      const off = at(a, p, q);
      if (Math.abs(off) < 1e-300) continue;
      const theta = (at(a, q, q) - at(a, p, p)) / (2 * off);
      const t = (theta >= 0 ? 1 : -1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
      const c = 1 / Math.sqrt(t * t + 1);
      const s = t * c;
      for (let k = 0; k < 3; k++) {
        const x = at(a, k, p), y = at(a, k, q);
        a[3 * k + p] = c * x - s * y;
        a[3 * k + q] = s * x + c * y;
      }
      for (let k = 0; k < 3; k++) {
        const x = at(a, p, k), y = at(a, q, k);
        a[3 * p + k] = c * x - s * y;
        a[3 * q + k] = s * x + c * y;
        const e = at(v, k, p), f = at(v, k, q);
        v[3 * k + p] = c * e - s * f;
        v[3 * k + q] = s * e + c * f;
      }
    } // prettier-ignore
  const order = [0, 1, 2].sort((i, j) => at(a, j, j) - at(a, i, i));
  return order.map((i): Vec3 => [at(v, 0, i), at(v, 1, i), at(v, 2, i)]) as unknown as Axes;
}
