import {
  COLLAPSED,
  edgeNeighbours,
  massProperties,
  runsAgainst,
  type Mesh,
} from '../mesh/index.ts';

/** Edges whose two facets meet at more than this angle are drawn from everywhere (no source). */
export const CREASE_DEG = 35;
/** On a rough skin creases tell nothing; the angle then rises through these (no source). */
const ROUGH_DEG = [50, 70, 180];
/** A mesh of more edges than this counts as rough when more than this share of them are creases. */
const ROUGH_EDGES = 20_000;
const ROUGH_SHARE = 0.08;

/** A mesh with what every view of it needs, made once. */
export interface Drawable {
  readonly mesh: Mesh;
  /** Per edge two vertices. */
  readonly edges: Uint32Array;
  /** Per edge its two facets; the second is -1 where no single other facet meets it. */
  readonly facets: Int32Array;
  /** Per edge 1 if it is a crease, a rim or a seam of more than two facets. */
  readonly sharp: Uint8Array;
  /**
   * Every edge has two facets that run against each other, so what faces away from the eye can be
   * left out of the search for what hides a line.
   */
  readonly closed: boolean;
}

/**
 * Collects the edges of a mesh. O(facets). A fine mesh that is all creases, as scans of rough things
 * are, gets a larger crease angle, so that its drawing shows the shape and not the grain.
 */
export function drawableOf(mesh: Mesh, creaseDeg: number = CREASE_DEG): Drawable {
  const { triangles: t } = mesh;
  const neighbours = edgeNeighbours(mesh);
  const normals = facetNormals(mesh);
  // Each edge once: from the facet with the lower number, or from every facet of a seam.
  let count = 0;
  for (let e = 0; e < neighbours.length; e++) if (isFirst(neighbours, e)) count++;
  const edges = new Uint32Array(2 * count);
  const facets = new Int32Array(2 * count);
  /** Cosine between the two facets; rims and seams -2, which is a crease at any angle. */
  const bends = new Float64Array(count).fill(-2);
  let closed = true;
  let k = 0;
  for (let e = 0; e < neighbours.length; e++) {
    if (!isFirst(neighbours, e)) continue;
    const f = (e / 3) | 0;
    const g = neighbours[e] as number;
    const a = t[e] as number;
    const b = t[e % 3 === 2 ? e - 2 : e + 1] as number;
    edges[2 * k] = a;
    edges[2 * k + 1] = b;
    facets[2 * k] = f;
    facets[2 * k + 1] = g < 0 ? -1 : g;
    if (g < 0) {
      closed = false;
    } else {
      if (!runsAgainst(t, g, a, b)) closed = false;
      bends[k] =
        (normals[3 * f] as number) * (normals[3 * g] as number) +
        (normals[3 * f + 1] as number) * (normals[3 * g + 1] as number) +
        (normals[3 * f + 2] as number) * (normals[3 * g + 2] as number);
    }
    k++;
  }
  const sharp = creases(bends, creaseDeg);
  return { mesh, edges, facets, sharp, closed: closed && massProperties(mesh).volumeMm3 > 0 };
}

function creases(bends: Float64Array, creaseDeg: number): Uint8Array {
  const sharp = new Uint8Array(bends.length);
  for (const deg of [creaseDeg, ...ROUGH_DEG.filter((d) => d > creaseDeg)]) {
    const least = Math.cos((deg * Math.PI) / 180) - (deg === 180 ? 0.5 : 0);
    let rough = 0;
    for (let k = 0; k < bends.length; k++) {
      const bend = bends[k] as number;
      sharp[k] = bend < least ? 1 : 0;
      if (sharp[k] && bend >= -1) rough++;
    }
    if (bends.length < ROUGH_EDGES || rough < ROUGH_SHARE * bends.length) break;
  }
  return sharp;
}

/** The same body after a rotation and a move: its edges stay what they are. */
export const movedDrawable = (body: Drawable, placed: Mesh): Drawable => ({
  ...body,
  mesh: placed,
});

/** Of the two facets at an edge the first one speaks for it; a facet without area speaks for none. */
function isFirst(neighbours: Int32Array, e: number): boolean {
  const g = neighbours[e] as number;
  return g >= 0 ? ((e / 3) | 0) < g : g !== COLLAPSED;
}

/** Unit normals, three numbers per facet; zeros for a facet without area. */
function facetNormals({ positions: p, triangles: t }: Mesh): Float64Array {
  const out = new Float64Array(t.length);
  for (let f = 0; f < t.length; f += 3) {
    const a = 3 * (t[f] as number);
    const b = 3 * (t[f + 1] as number);
    const c = 3 * (t[f + 2] as number);
    const ux = (p[b] as number) - (p[a] as number);
    const uy = (p[b + 1] as number) - (p[a + 1] as number);
    const uz = (p[b + 2] as number) - (p[a + 2] as number);
    const vx = (p[c] as number) - (p[a] as number);
    const vy = (p[c + 1] as number) - (p[a + 1] as number);
    const vz = (p[c + 2] as number) - (p[a + 2] as number);
    const x = uy * vz - uz * vy;
    const y = uz * vx - ux * vz;
    const z = ux * vy - uy * vx;
    const l = Math.sqrt(x * x + y * y + z * z);
    if (l === 0) continue;
    out[f] = x / l;
    out[f + 1] = y / l;
    out[f + 2] = z / l;
  }
  return out;
}
