import type { Vec3 } from '../math/index.ts';
import { meshFrom, type Mesh } from './mesh.ts';

/**
 * Small closed solids with outward facets: test bodies, and stand-ins where a simple shape is
 * wanted. All sizes in mm.
 */

/** Box from `min` to `max`, 8 vertices, 12 facets. */
export function boxMesh(size: Vec3, min: Vec3 = [0, 0, 0]): Mesh {
  const points: Vec3[] = [];
  for (let i = 0; i < 8; i++)
    points.push([
      min[0] + (i & 1 ? size[0] : 0),
      min[1] + (i & 2 ? size[1] : 0),
      min[2] + (i & 4 ? size[2] : 0),
    ]);
  return meshFrom(points, [
    [0, 2, 3], [0, 3, 1], [4, 5, 7], [4, 7, 6],
    [0, 1, 5], [0, 5, 4], [2, 6, 7], [2, 7, 3],
    [0, 4, 6], [0, 6, 2], [1, 3, 7], [1, 7, 5],
  ]); // prettier-ignore
}

/** Tetrahedron with the origin and the three axis points (a,0,0), (0,b,0), (0,0,c). */
export function cornerTetrahedron(a: number, b: number, c: number): Mesh {
  return meshFrom(
    [[0, 0, 0], [a, 0, 0], [0, b, 0], [0, 0, c]],
    [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]],
  ); // prettier-ignore
}

/** Prism over a convex, counter-clockwise outline in the plane z = 0, up to z = height. */
export function prismMesh(outline: readonly (readonly [number, number])[], height: number): Mesh {
  const n = outline.length;
  const points: Vec3[] = [
    ...outline.map(([x, y]): Vec3 => [x, y, 0]),
    ...outline.map(([x, y]): Vec3 => [x, y, height]),
  ];
  const facets: [number, number, number][] = [];
  for (let i = 1; i + 1 < n; i++) facets.push([0, i + 1, i], [n, n + i, n + i + 1]);
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    facets.push([i, j, n + j], [i, n + j, n + i]);
  }
  return meshFrom(points, facets);
}

/** Prism over a regular polygon with `sides` corners on the circle of radius r: a faceted cylinder. */
export function cylinderMesh(r: number, height: number, sides = 64): Mesh {
  const outline = Array.from({ length: sides }, (_, i): [number, number] => {
    const a = (2 * Math.PI * i) / sides;
    return [r * Math.cos(a), r * Math.sin(a)];
  });
  return prismMesh(outline, height);
}

/** Torus about Z: tube radius r on the circle of radius R, nu steps around Z, nv around the tube. */
export function torusMesh(R: number, r: number, nu = 96, nv = 48): Mesh {
  const points: Vec3[] = [];
  const facets: [number, number, number][] = [];
  for (let i = 0; i < nu; i++)
    for (let j = 0; j < nv; j++) {
      const u = (2 * Math.PI * i) / nu;
      const v = (2 * Math.PI * j) / nv;
      const d = R + r * Math.cos(v);
      points.push([d * Math.cos(u), d * Math.sin(u), r * Math.sin(v)]);
      const a = i * nv + j;
      const b = ((i + 1) % nu) * nv + j;
      const c = ((i + 1) % nu) * nv + ((j + 1) % nv);
      const e = i * nv + ((j + 1) % nv);
      facets.push([a, b, c], [a, c, e]);
    }
  return meshFrom(points, facets);
}

/** Ball of radius r about the origin: an icosahedron subdivided `levels` times (20 * 4^levels facets). */
export function ballMesh(r: number, levels = 4): Mesh {
  const g = (1 + Math.sqrt(5)) / 2;
  let points: Vec3[] = (
    [
      [-1, g, 0], [1, g, 0], [-1, -g, 0], [1, -g, 0], [0, -1, g], [0, 1, g],
      [0, -1, -g], [0, 1, -g], [g, 0, -1], [g, 0, 1], [-g, 0, -1], [-g, 0, 1],
    ] as Vec3[]
  ).map(onUnitSphere); // prettier-ignore
  let facets: [number, number, number][] = [
    [0, 11, 5], [0, 5, 1], [0, 1, 7], [0, 7, 10], [0, 10, 11],
    [1, 5, 9], [5, 11, 4], [11, 10, 2], [10, 7, 6], [7, 1, 8],
    [3, 9, 4], [3, 4, 2], [3, 2, 6], [3, 6, 8], [3, 8, 9],
    [4, 9, 5], [2, 4, 11], [6, 2, 10], [8, 6, 7], [9, 8, 1],
  ]; // prettier-ignore
  for (let level = 0; level < levels; level++) {
    const middles = new Map<string, number>();
    const grown = [...points];
    const middle = (a: number, b: number): number => {
      const key = a < b ? `${a},${b}` : `${b},${a}`;
      const known = middles.get(key);
      if (known !== undefined) return known;
      const p = grown[a] as Vec3;
      const q = grown[b] as Vec3;
      grown.push(onUnitSphere([p[0] + q[0], p[1] + q[1], p[2] + q[2]]));
      middles.set(key, grown.length - 1);
      return grown.length - 1;
    };
    facets = facets.flatMap(([a, b, c]): [number, number, number][] => {
      const ab = middle(a, b);
      const bc = middle(b, c);
      const ca = middle(c, a);
      return [[a, ab, ca], [b, bc, ab], [c, ca, bc], [ab, bc, ca]]; // prettier-ignore
    });
    points = grown;
  }
  return meshFrom(
    points.map(([x, y, z]): Vec3 => [x * r, y * r, z * r]),
    facets,
  );
}

function onUnitSphere(p: Vec3): Vec3 {
  const l = Math.hypot(p[0], p[1], p[2]);
  return [p[0] / l, p[1] / l, p[2] / l];
}

/** Several meshes as one, shells side by side; nothing is united. */
export function joinMeshes(meshes: readonly Mesh[]): Mesh {
  const positions = new Float64Array(meshes.reduce((n, m) => n + m.positions.length, 0));
  const triangles = new Uint32Array(meshes.reduce((n, m) => n + m.triangles.length, 0));
  let p = 0;
  let t = 0;
  for (const m of meshes) {
    positions.set(m.positions, p);
    for (let i = 0; i < m.triangles.length; i++)
      triangles[t + i] = (m.triangles[i] as number) + p / 3;
    p += m.positions.length;
    t += m.triangles.length;
  }
  return { positions, triangles };
}
