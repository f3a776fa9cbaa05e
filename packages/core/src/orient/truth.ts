import { checkCancelled, DEFAULT_SEED, type Context } from '../context.ts';
import { seededRandom, type Vec3 } from '../math/index.ts';
import type { Mesh } from '../mesh/index.ts';
import { overhangLimit } from './supports.ts';
import { facetsOf } from './turned.ts';

export interface TruthOptions extends Context {
  /** Overhang angle from vertical up to which a facet carries itself, degrees. */
  readonly selfSupportDeg: number;
  /** Rays, spread evenly over the plan area of the overhangs. Default 20000. */
  readonly rays?: number;
}

export type SupportTruth = (up: Vec3, options: TruthOptions) => number;

/**
 * The slow twin of `evaluateSupports`, by another road: rays straight down from points spread over
 * the overhanging facets, against a tree of boxes. The function returned gives the support volume
 * in mm3 for the unit vector `up` as +Z, with a sampling error near 1/sqrt(rays) of the spread of
 * the drops. A ray takes some 2 us; the tree is built once.
 *
 * @param overlaps the mesh has shells that run into each other: every hit of a ray is counted, not
 *   only the first
 */
export async function supportTruth(mesh: Mesh, overlaps = false): Promise<SupportTruth> {
  const { BufferAttribute, BufferGeometry, DoubleSide, Ray } = await import('three');
  const { MeshBVH } = await import('three-mesh-bvh');
  const { positions: p, triangles: t } = mesh;
  const facets = facetsOf(mesh);
  const geometry = new BufferGeometry();
  // The tree reorders its own copy of the facets; positions stay double.
  geometry.setAttribute('position', new BufferAttribute(p, 3));
  geometry.setIndex(new BufferAttribute(t.slice(), 1));
  const tree = new MeshBVH(geometry, { indirect: true });
  const ray = new Ray();
  const n = t.length / 3;

  return (up, options) => {
    const limit = overhangLimit(options.selfSupportDeg);
    const rays = options.rays ?? 20_000;
    const random = seededRandom(options.seed ?? DEFAULT_SEED);
    let plate = Infinity;
    let top = -Infinity;
    for (let i = 0; i < p.length; i += 3) {
      const h = at(p, i, up);
      if (h < plate) plate = h;
      if (h > top) top = h;
    }
    const lean = (f: number): number => at(facets.normals, 3 * f, up);
    let plan = 0;
    for (let f = 0; f < n; f++) {
      const l = lean(f);
      if (l < limit) plan -= l * (facets.areasMm2[f] as number);
    }
    if (!(plan > 0)) return 0;

    const share = plan / rays;
    const skip = 1e-6 * (top - plate);
    ray.direction.set(-up[0], -up[1], -up[2]);
    let due = share * random();
    let seen = 0;
    let drops = 0;
    for (let f = 0; f < n; f++) {
      const l = lean(f);
      if (!(l < limit)) continue;
      for (seen -= l * (facets.areasMm2[f] as number); due < seen; due += share) {
        const a = 3 * (t[3 * f] as number);
        const b = 3 * (t[3 * f + 1] as number);
        const c = 3 * (t[3 * f + 2] as number);
        const r = Math.sqrt(random());
        const v = r * random();
        const mix = (k: number): number =>
          (1 - r) * (p[a + k] as number) + (r - v) * (p[b + k] as number) + v * (p[c + k] as number); // prettier-ignore
        ray.origin.set(mix(0), mix(1), mix(2));
        const height = ray.origin.x * up[0] + ray.origin.y * up[1] + ray.origin.z * up[2] - plate;
        ray.origin.addScaledVector(ray.direction, skip);
        drops += openDrop(height, skip);
      }
      checkCancelled(options);
    }
    return drops * share;

    function openDrop(height: number, start: number): number {
      if (!overlaps) {
        const hit = tree.raycastFirst(ray, DoubleSide);
        if (!hit) return height;
        return lean(hit.faceIndex as number) > 0 ? Math.min(height, hit.distance + start) : 0;
      }
      const hits = tree.raycast(ray, DoubleSide);
      let depth = 0;
      let nearest = Infinity;
      for (const hit of hits) {
        const enters = lean(hit.faceIndex as number) > 0;
        depth += enters ? -1 : 1;
        if (enters && hit.distance < nearest) nearest = hit.distance;
      }
      return depth > 0 ? 0 : Math.min(height, nearest + start);
    }
  };
}

const at = (xyz: ArrayLike<number>, i: number, up: Vec3): number =>
  (xyz[i] as number) * up[0] + (xyz[i + 1] as number) * up[1] + (xyz[i + 2] as number) * up[2];
