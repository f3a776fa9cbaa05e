import { dot, pointAt, type Vec3 } from '../math/index.ts';
import { edgeNeighbours, type Mesh } from '../mesh/index.ts';
import { radians } from '../units.ts';
import type { Facets } from './turned.ts';

/** Faces the maker wants without scars: those of either kind. */
export interface CleanFaces {
  /** Facets that look along one of these part directions; unit vectors. */
  readonly directions: readonly Vec3[];
  /** To within so many degrees. Default 30. */
  readonly withinDeg?: number;
  /** Facets of flat regions of at least this area, mm2, whichever way they look. */
  readonly flatFromMm2?: number;
}

/** Facets that turn away from a region's largest by no more than this lie in one plane, degrees. */
const FLAT_DEG = 1;

/** 1 per facet that should stay without scars. */
export function cleanFlags(mesh: Mesh, facets: Facets, clean: CleanFaces): Uint8Array {
  const least = Math.cos(radians(clean.withinDeg ?? 30));
  const flags = Uint8Array.from(facets.areasMm2, (_, f) => {
    const n = pointAt(facets.normals, f);
    return clean.directions.some((d) => dot(d, n) >= least) ? 1 : 0;
  });
  const { flatFromMm2 } = clean;
  if (flatFromMm2 !== undefined)
    for (const region of flatRegions(mesh, facets))
      if (region.areaMm2 >= flatFromMm2) for (const f of region.facets) flags[f] = 1;
  return flags;
}

interface Region {
  readonly areaMm2: number;
  readonly facets: readonly number[];
}

/**
 * Flat regions: facets that hang together by their edges and look the same way as the largest of
 * them, to within a degree. Every facet with an area is in one of them. O(facets log facets).
 */
export function flatRegions(mesh: Mesh, { normals, areasMm2 }: Facets): Region[] {
  const neighbours = edgeNeighbours(mesh);
  const same = Math.cos(radians(FLAT_DEG));
  const order = Uint32Array.from(areasMm2, (_, f) => f);
  order.sort((f, g) => (areasMm2[g] as number) - (areasMm2[f] as number) || f - g);
  const taken = new Uint8Array(areasMm2.length);
  const regions: Region[] = [];
  for (const seed of order) {
    if (taken[seed] || !((areasMm2[seed] as number) > 0)) continue;
    const normal = pointAt(normals, seed);
    const facets = [seed];
    taken[seed] = 1;
    let areaMm2 = 0;
    for (let i = 0; i < facets.length; i++) {
      const f = facets[i] as number;
      areaMm2 += areasMm2[f] as number;
      for (let k = 3 * f; k < 3 * f + 3; k++) {
        const next = neighbours[k] as number;
        if (next < 0 || taken[next] || dot(pointAt(normals, next), normal) < same) continue;
        taken[next] = 1;
        facets.push(next);
      }
    }
    regions.push({ areaMm2, facets });
  }
  return regions;
}
