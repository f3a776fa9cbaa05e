import type { Vec3 } from '../math/index.ts';

/**
 * A triangle mesh in flat arrays, the one shape every stage takes and gives.
 * `positions` holds x, y, z per vertex (mm unless a stage says otherwise); `triangles` holds three
 * vertex indices per facet, counter-clockwise seen from outside. Vertices are shared: the reader
 * welds bit-equal ones (-0 = 0), so two facets meet where they name the same index.
 */
export interface Mesh {
  readonly positions: Float64Array;
  readonly triangles: Uint32Array;
}

export const vertexCount = (mesh: Mesh): number => mesh.positions.length / 3;
export const triangleCount = (mesh: Mesh): number => mesh.triangles.length / 3;

/** Axis-parallel box. An empty point set has min = +Infinity, max = -Infinity. */
export interface Box3 {
  readonly min: Vec3;
  readonly max: Vec3;
}

export function boundsOf(positions: ArrayLike<number>): Box3 {
  let x0 = Infinity, y0 = Infinity, z0 = Infinity; // prettier-ignore
  let x1 = -Infinity, y1 = -Infinity, z1 = -Infinity; // prettier-ignore
  for (let i = 0; i < positions.length; i += 3) {
    const x = positions[i] as number;
    const y = positions[i + 1] as number;
    const z = positions[i + 2] as number;
    if (x < x0) x0 = x;
    if (x > x1) x1 = x;
    if (y < y0) y0 = y;
    if (y > y1) y1 = y;
    if (z < z0) z0 = z;
    if (z > z1) z1 = z;
  }
  return { min: [x0, y0, z0], max: [x1, y1, z1] };
}

export const sizeOf = (box: Box3): Vec3 => [
  Math.max(0, box.max[0] - box.min[0]),
  Math.max(0, box.max[1] - box.min[1]),
  Math.max(0, box.max[2] - box.min[2]),
];

/** A mesh from nested lists, for tests and small solids. */
export function meshFrom(
  points: readonly Vec3[],
  facets: readonly (readonly [number, number, number])[],
): Mesh {
  return {
    positions: Float64Array.from(points.flat()),
    triangles: Uint32Array.from(facets.flat()),
  };
}
