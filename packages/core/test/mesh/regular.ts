import { Vector3 } from 'three';
import { ConvexHull } from 'three/addons/math/ConvexHull.js';
import { meshFrom, type Mesh } from '../../src/mesh/index.ts';
import type { Vec3 } from '../../src/math/index.ts';

/** The regular solids of edge 1 about the origin; facets by three's ConvexHull. */
const g = (1 + Math.sqrt(5)) / 2;
const signs = [-1, 1] as const;
const turns = (p: Vec3): Vec3[] => [p, [p[1], p[2], p[0]], [p[2], p[0], p[1]]];

const corners = {
  tetrahedron: signs.flatMap((x) => signs.map((y): Vec3 => [x, y, x * y])),
  octahedron: signs.flatMap((x) => turns([x, 0, 0])),
  icosahedron: signs.flatMap((x) => signs.flatMap((y) => turns([0, x, y * g]))),
  dodecahedron: signs.flatMap((x) =>
    signs.flatMap((y) => [...signs.map((z): Vec3 => [x, y, z]), ...turns([0, x / g, y * g])]),
  ),
};

export type RegularName = keyof typeof corners;
export const REGULAR_NAMES = Object.keys(corners) as RegularName[];

export function regularSolid(name: RegularName): Mesh {
  const points = corners[name];
  const first = points[0] as Vec3;
  const edge = Math.min(
    ...points.slice(1).map((p) => Math.hypot(p[0] - first[0], p[1] - first[1], p[2] - first[2])),
  );
  return hullMesh(points.map((p): Vec3 => [p[0] / edge, p[1] / edge, p[2] / edge]));
}

/** The convex hull of points as a mesh, faces fanned into triangles. */
export function hullMesh(points: readonly Vec3[]): Mesh {
  const vectors = points.map((p) => new Vector3(p[0], p[1], p[2]));
  const hull = new ConvexHull().setFromPoints(vectors);
  const facets: [number, number, number][] = [];
  for (const face of hull.faces) {
    const ring: number[] = [];
    let edge = face.edge;
    do {
      ring.push(vectors.indexOf(edge.head().point));
      edge = edge.next;
    } while (edge !== face.edge);
    for (let i = 1; i + 1 < ring.length; i++)
      facets.push([ring[0] as number, ring[i] as number, ring[i + 1] as number]);
  }
  return meshFrom(points, facets);
}
