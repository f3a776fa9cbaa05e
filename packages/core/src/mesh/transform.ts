import { rotate, type Mat3, type Vec3 } from '../math/index.ts';
import type { Mesh } from './mesh.ts';

/** Points turned by `m`, then moved by `t`. */
export function transformPositions(
  positions: ArrayLike<number>,
  m: Mat3,
  t: Vec3 = [0, 0, 0],
): Float64Array {
  const out = new Float64Array(positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    const p = rotate(m, [
      positions[i] as number,
      positions[i + 1] as number,
      positions[i + 2] as number,
    ]);
    out[i] = p[0] + t[0];
    out[i + 1] = p[1] + t[1];
    out[i + 2] = p[2] + t[2];
  }
  return out;
}

/** The mesh turned by the rotation `m`, then moved by `t`; facets keep their order. */
export const transformMesh = (mesh: Mesh, m: Mat3, t?: Vec3): Mesh => ({
  positions: transformPositions(mesh.positions, m, t),
  triangles: mesh.triangles,
});

/** The mesh scaled about the origin; a negative factor mirrors it and turns the facets over. */
export function scaleMesh(mesh: Mesh, factor: number): Mesh {
  return {
    positions: mesh.positions.map((x) => x * factor),
    triangles: factor < 0 ? flipTriangles(mesh.triangles) : mesh.triangles,
  };
}

/** The same facets seen from the other side. */
export function flipTriangles(triangles: Uint32Array): Uint32Array {
  const out = triangles.slice();
  for (let i = 0; i < out.length; i += 3) {
    const b = out[i + 1] as number;
    out[i + 1] = out[i + 2] as number;
    out[i + 2] = b;
  }
  return out;
}
