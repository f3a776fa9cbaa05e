/**
 * Which rotations need looking at. Turning a box by half about one of its axes changes nothing, so
 * only one rotation of each four has to be searched; a square plan leaves one in eight, a cube one
 * in 24, a round plan a two-dimensional family. Rotations are Gibbs vectors g: unit quaternion
 * (1, g) / |(1, g)|, q = w + xi + yj + zk.
 *
 * - box: the coset member with the largest |w| has |g_i| <= 1 (Hartley and Kahl 2009 use the same
 *   cube for all rotations).
 * - square: quarter turns about z rotate (w, z) and (x, y) by multiples of 45 degrees, half turns
 *   about x or y swap the two pairs: |g_z| <= tan 22.5 deg and g_x^2 + g_y^2 <= 1 + g_z^2.
 * - cube: |g_i| <= tan 22.5 deg and |g_x| + |g_y| + |g_z| <= 1 (the cubic zone of crystallography,
 *   Morawiec and Field 1996).
 * - disc: any turn about z is free, so z = 0; a half turn about x allows g_x^2 + g_y^2 <= 1.
 * - none: all four cosets of the box's half-turns are searched, as roots of their own.
 */
export type Symmetry = 'none' | 'box' | 'square' | 'cube' | 'disc';

export interface Root {
  readonly g: readonly [number, number, number];
  readonly h: readonly [number, number, number];
  /** Which half turn follows: 0 none, 1 about x, 2 about y, 3 about z. */
  readonly coset: number;
}

const TAN = Math.SQRT2 - 1;
/** Largest |g_x| of the square's domain: sqrt(1 + tan^2 22.5 deg). */
const WIDE = Math.sqrt(1 + TAN * TAN);
/** A hair more than the domain, so that rounding cannot open a seam. */
const OVER = 1 + 1e-12;

/** @param turns `yaw` looks only at turns about Z: the same face stays down. */
export function rootCells(symmetry: Symmetry, turns: 'any' | 'yaw' = 'any'): Root[] {
  const root = (x: number, y: number, z: number, coset = 0): Root => ({
    g: [0, 0, 0],
    h: [x * OVER, y * OVER, z * OVER],
    coset,
  });
  if (turns === 'yaw')
    return symmetry === 'none' ? [root(0, 0, 1), root(0, 0, 1, 3)] : [root(0, 0, 1)];
  switch (symmetry) {
    case 'box':
      return [root(1, 1, 1)];
    case 'square':
      return [root(WIDE, WIDE, TAN)];
    case 'cube':
      return [root(TAN, TAN, TAN)];
    case 'disc':
      return [root(1, 1, 0)];
    case 'none':
      return [0, 1, 2, 3].map((coset) => root(1, 1, 1, coset));
  }
}

/** Whether a cell lies wholly outside the domain, so that its rotations have twins inside. */
export function outsideDomain(
  g: readonly [number, number, number],
  h: readonly [number, number, number],
  symmetry: Symmetry,
): boolean {
  const least = (i: 0 | 1 | 2): number => Math.max(0, Math.abs(g[i]) - h[i]);
  if (symmetry === 'square') {
    const z = Math.abs(g[2]) + h[2];
    return least(0) ** 2 + least(1) ** 2 > (1 + z * z) * OVER;
  }
  if (symmetry === 'cube') return least(0) + least(1) + least(2) > OVER;
  if (symmetry === 'disc') return least(0) ** 2 + least(1) ** 2 > OVER;
  return false;
}
