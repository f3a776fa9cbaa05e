import { convexHull, planarHull, type Hull } from '../hull/index.ts';
import {
  cross,
  dot,
  frameOf,
  negate,
  pointAt,
  sub,
  unit,
  type Axes,
  type Vec3,
} from '../math/index.ts';
import { ballMesh } from '../mesh/index.ts';
import { tipDeg } from './steadiness.ts';
import { facetsOf, type Facets } from './turned.ts';
import type { WayUp } from './result.ts';

export interface Candidate {
  /** Unit vector in part coordinates that is to point up. */
  readonly up: Vec3;
  readonly from: WayUp['from'];
  /** Tip angle on a resting face of the hull, degrees; null where the part rests on less. */
  readonly tipDeg: number | null;
  /** Area of that face, mm2; 0 where the part rests on less. */
  readonly contactMm2: number;
  /** Its steepest overhang is mild: worth an exact look, whatever a coarse twin says. */
  readonly mild?: true;
}

export interface RestingFace {
  readonly up: Vec3;
  readonly areaMm2: number;
  readonly tipDeg: number;
}

/** Hull facets within this angle count as one face, degrees: a file's rounding, not a design. */
const SAME_FACE_DEG = 0.3;
/** Faces on which a nudge of less than this tips the part are no rest, degrees. */
const LEAST_TIP_DEG = 1;
const MOST_FACES = 200;

/**
 * Faces of the hull on which the part stands by itself: its centre of mass lies above the face,
 * with at least one degree to spare. Coplanar facets count as one face. Largest first; a hull of
 * thousands of small facets gives its 200 largest.
 */
export function restingFaces(hull: Hull, centre: Vec3): RestingFace[] {
  const { positions: p, triangles: t } = hull;
  const n = t.length / 3;
  const { normals, areasMm2: areas } = facetsOf(hull);
  const order = Array.from(areas, (_, f) => f).sort((f, g) => (areas[g] as number) - (areas[f] as number) || f - g); // prettier-ignore
  const taken = new Uint8Array(n);
  const same = Math.cos((SAME_FACE_DEG * Math.PI) / 180);
  const faces: RestingFace[] = [];
  let groups = 0;
  for (const seed of order) {
    if (taken[seed] || !((areas[seed] as number) > 0)) continue;
    if (++groups > MOST_FACES) break;
    const normal = pointAt(normals, seed);
    const corners: Vec3[] = [];
    let area = 0;
    for (let f = 0; f < n; f++) {
      if (taken[f]) continue;
      const along =
        (normals[3 * f] as number) * normal[0] +
        (normals[3 * f + 1] as number) * normal[1] +
        (normals[3 * f + 2] as number) * normal[2];
      if (along < same) continue;
      taken[f] = 1;
      area += areas[f] as number;
      for (let i = 0; i < 3; i++) corners.push(pointAt(p, t[3 * f + i] as number));
    }
    const { u, v } = frameOf(normal);
    const flat = corners.map((c): [number, number] => [dot(c, u), dot(c, v)]);
    const base = planarHull(
      flat.length,
      (i) => (flat[i] as [number, number])[0],
      (i) => (flat[i] as [number, number])[1],
    ).map((i) => flat[i] as [number, number]);
    const height = dot(corners[0] as Vec3, normal) - dot(centre, normal);
    const tip = tipDeg(base, [dot(centre, u), dot(centre, v), height]);
    if (tip >= LEAST_TIP_DEG) faces.push({ up: negate(normal), areaMm2: area, tipDeg: tip });
  }
  return faces.sort((a, b) => b.areaMm2 - a.areaMm2);
}

/**
 * Ways up whose steepest overhang leans least, the mildest first. On the hull of all normals, as
 * points of the unit sphere, the overhang of a way up is how far the hull reaches against it; that
 * has its minima square to the hull's facets, those nearest to the middle. What needs no support at
 * all is found here, however small its range of directions.
 */
export function mildest({ normals }: Facets, count: number): Vec3[] {
  const { positions, triangles, rank } = convexHull(normals);
  if (rank < 3) return [];
  const found: { up: Vec3; reach: number }[] = [];
  for (let f = 0; f < triangles.length; f += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => pointAt(positions, triangles[f + k] as number)) as [Vec3, Vec3, Vec3]; // prettier-ignore
    const out = unit(cross(sub(b, a), sub(c, a)));
    if (out) found.push({ up: negate(out), reach: dot(out, a) });
  }
  found.sort((p, q) => p.reach - q.reach);
  const kept: Vec3[] = [];
  for (const { up } of found) {
    if (kept.length === count) break;
    if (kept.every((k) => dot(k, up) < MILD_APART)) kept.push(up);
  }
  return kept;
}

/** About 3 degrees. */
const MILD_APART = 0.9986;

/** Cells per side of each of the six faces of a cube of directions: about 2 degrees each. */
const CUBE_CELLS = 45;
/** A flat region or a cluster counts from this share of the surface. */
const LEAST_SHARE = 0.005;
const MOST_CLUSTERS = 40;

/**
 * Mean normals of flat regions and of clusters of facets that look the same way, largest area
 * first: directions gathered in the cells of a cube, about 2 degrees wide.
 */
export function normalClusters({ normals, areasMm2 }: Facets): Vec3[] {
  const sums = new Float64Array(4 * 6 * CUBE_CELLS * CUBE_CELLS);
  let total = 0;
  for (let f = 0; f < areasMm2.length; f++) {
    const area = areasMm2[f] as number;
    if (!(area > 0)) continue;
    total += area;
    const k = 4 * cubeCell(
      normals[3 * f] as number,
      normals[3 * f + 1] as number,
      normals[3 * f + 2] as number,
    ); // prettier-ignore
    (sums[k] as number) += area;
    for (let i = 0; i < 3; i++)
      (sums[k + 1 + i] as number) += area * (normals[3 * f + i] as number);
  }
  const cells: { area: number; mean: Vec3 }[] = [];
  for (let k = 0; k < sums.length; k += 4) {
    const area = sums[k] as number;
    if (area < LEAST_SHARE * total || area === 0) continue;
    const mean = unit([sums[k + 1] as number, sums[k + 2] as number, sums[k + 3] as number]);
    if (mean) cells.push({ area, mean });
  }
  cells.sort((a, b) => b.area - a.area);
  return cells.slice(0, MOST_CLUSTERS).map((c) => c.mean);
}

function cubeCell(x: number, y: number, z: number): number {
  const ax = Math.abs(x);
  const ay = Math.abs(y);
  const az = Math.abs(z);
  const cell = (s: number): number =>
    Math.min(CUBE_CELLS - 1, Math.floor(((s + 1) / 2) * CUBE_CELLS));
  const place = (face: number, s: number, t: number): number =>
    (face * CUBE_CELLS + cell(s)) * CUBE_CELLS + cell(t);
  if (ax >= ay && ax >= az) return place(x > 0 ? 0 : 1, y / ax, z / ax);
  if (ay >= az) return place(y > 0 ? 2 : 3, z / ay, x / ay);
  return place(z > 0 ? 4 : 5, x / az, y / az);
}

/** Evenly spread directions about axes: 162 for level 2 (16 degrees apart), 642 for level 3 (8). */
export function geodesicDirections(level: number, axes: Axes): Vec3[] {
  let grid = GRIDS.get(level);
  if (!grid) {
    const { positions } = ballMesh(1, level);
    grid = Array.from({ length: positions.length / 3 }, (_, i) => pointAt(positions, i));
    GRIDS.set(level, grid);
  }
  const [u, v, w] = axes;
  return grid.map(([a, b, c]): Vec3 => [
    a * u[0] + b * v[0] + c * w[0],
    a * u[1] + b * v[1] + c * w[1],
    a * u[2] + b * v[2] + c * w[2],
  ]);
}

/** Always the same directions, so made once. */
const GRIDS = new Map<number, Vec3[]>();

/** Candidates without those closer than `apartDeg` to an earlier one. */
export function distinct(candidates: readonly Candidate[], apartDeg: number): Candidate[] {
  const near = Math.cos((apartDeg * Math.PI) / 180);
  const kept: Candidate[] = [];
  for (const c of candidates) if (!kept.some((k) => dot(k.up, c.up) > near)) kept.push(c);
  return kept;
}
