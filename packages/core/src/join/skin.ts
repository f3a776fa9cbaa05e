import { BufferAttribute, BufferGeometry, type Box3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import type { Mesh, PlaneFrame } from '../mesh/index.ts';
import {
  boxDistanceToHole,
  CLEARANCE_PRECISION_MM,
  triangleDistanceToHole,
  type Hole,
} from './clearance.ts';

/** The part's surface near one cut, asked for its distance from holes drilled square to the cut. */
export interface Skin {
  readonly triangles: number;
  /**
   * Least distance from the hole to the skin, mm: proved, at most 1e-4 mm short of the true value;
   * about `cap` if it is at least that.
   */
  distance(hole: Hole, cap?: number): number;
  /** Whether every point of the skin is at least `wallMm` away from the hole, to 1e-4 mm. */
  clear(hole: Hole, wallMm: number): boolean;
}

/**
 * @param reachMm only facets within this height of the plane are kept: at least the deepest hole
 *   plus the largest wall that will be asked for
 * Facets are held in the face's frame in double precision; the tree's boxes are single precision,
 * rounded outwards by the library, so no facet is missed.
 */
export function makeSkin(mesh: Mesh, frame: PlaneFrame, reachMm: number): Skin {
  const corners = facetsNear(mesh, frame, reachMm);
  const triangles = corners.length / 9;
  if (triangles === 0)
    return { triangles, distance: (_, cap = Infinity) => cap, clear: () => true };
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(corners, 3));
  const bvh = new MeshBVH(geometry, { indirect: true, targetLeafSize: 4 });
  const facet = new Float64Array(9);
  let hole: Hole;
  let best = 0;
  let enough = 0;
  const boundOf = (box: Box3): number =>
    boxDistanceToHole(hole, box.min.x, box.min.y, box.min.z, box.max.x, box.max.y, box.max.z);
  const query = {
    boundsTraverseOrder: boundOf,
    intersectsBounds: (box: Box3): boolean => boundOf(box) < best,
    intersectsTriangle: (_: unknown, index: number): boolean => {
      for (let k = 0; k < 9; k++) facet[k] = corners[9 * index + k] as number;
      best = Math.min(best, triangleDistanceToHole(hole, facet, best, enough));
      return best <= enough;
    },
  };
  const run = (asked: Hole, cap: number, stopAt: number): number => {
    hole = asked;
    best = cap;
    enough = stopAt;
    bvh.shapecast(query);
    return best;
  };
  return {
    triangles,
    distance: (asked, cap = reachMm) => Math.max(0, run(asked, cap, 0) - CLEARANCE_PRECISION_MM),
    // A billionth off, so that a wall met exactly is not lost to rounding.
    clear: (asked, wallMm) => run(asked, wallMm, wallMm * (1 - 1e-9)) > wallMm * (1 - 1e-9),
  };
}

/** Corners, in the frame, of all facets that reach into the slab |z| <= reach. */
function facetsNear(mesh: Mesh, f: PlaneFrame, reach: number): Float64Array {
  const { positions, triangles } = mesh;
  const n = positions.length / 3;
  const [ox, oy, oz] = f.origin;
  const [nx, ny, nz] = f.normal;
  const height = new Float64Array(n);
  for (let i = 0; i < n; i++)
    height[i] =
      ((positions[3 * i] as number) - ox) * nx +
      ((positions[3 * i + 1] as number) - oy) * ny +
      ((positions[3 * i + 2] as number) - oz) * nz;
  const kept: number[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const a = height[triangles[t] as number] as number;
    const b = height[triangles[t + 1] as number] as number;
    const c = height[triangles[t + 2] as number] as number;
    if (Math.min(a, b, c) <= reach && Math.max(a, b, c) >= -reach) kept.push(t);
  }
  const corners = new Float64Array(9 * kept.length);
  let w = 0;
  for (const t of kept)
    for (let k = 0; k < 3; k++) {
      const i = triangles[t + k] as number;
      const x = (positions[3 * i] as number) - ox;
      const y = (positions[3 * i + 1] as number) - oy;
      const z = (positions[3 * i + 2] as number) - oz;
      corners[w++] = x * f.u[0] + y * f.u[1] + z * f.u[2];
      corners[w++] = x * f.v[0] + y * f.v[1] + z * f.v[2];
      corners[w++] = height[i] as number;
    }
  return corners;
}
