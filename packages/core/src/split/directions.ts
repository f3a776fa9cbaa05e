import type { Mesh, Plane } from '../mesh/index.ts';
import { unit, type Vec3, type Axes } from '../math/index.ts';
import { extremePoints, PART_AXES, sameLine, smallBox, spreadAxes, upright } from './frames.ts';
import { plainNormals } from './plain.ts';
import { mirrorPlanes } from './symmetry.ts';

export interface Direction {
  readonly normal: Vec3;
  readonly origin: string;
}

export interface Candidates {
  /** Plane normals to try, the tidiest first, no two within one degree. */
  readonly directions: readonly Direction[];
  /** Further ones between them, for the last cut of a piece in two. */
  readonly net: readonly Direction[];
  /** Frames whose boxes tell roughly how many pieces a body needs. */
  readonly frames: readonly Axes[];
  readonly mirrors: readonly Plane[];
  /** Normals that are easy to set by hand. */
  readonly plain: readonly Vec3[];
}

const MOST_DIRECTIONS = 10;
const MOST_MIRRORS = 3;
/**
 * Half way between two axes, and between three: a bent part's narrowest place may lie across none of
 * its own directions. They are the same in any mirror along an axis, so that mirrored parts get
 * mirrored plans. More kinds shorten few seams further.
 */
const SLANTED = [...images([1, 1, 0]), ...images([1, 1, 1])];
const SLANTED_APART_DEG = 12;
/** A finer net, just as even. */
const NET = [...images([2, 1, 0]), ...images([2, 1, 1]), ...images([2, 2, 1])];
const NET_APART_DEG = 8;

/**
 * Where planes may come from: the part's axes, the axes of a small box, the principal axes, the
 * normals of its large flat faces, its mirror planes, and the slanted ones between them. `allowed`,
 * when given, replaces them all.
 * @param thinSkin points of a coarser copy, for the boxes; may be `skin` itself
 */
export function candidateDirections(
  mesh: Mesh,
  skin: Float64Array,
  thinSkin: Float64Array,
  allowed: readonly Vec3[] | undefined,
): Candidates {
  const points = extremePoints(thinSkin);
  const faces = flatFaces(mesh);
  const spread = spreadAxes(points);
  const box = smallBox(points, [...PART_AXES, ...spread, ...faces.slice(0, 4)]);
  const frames = [PART_AXES, box, spread].filter(
    (f, i, all) => !all.slice(0, i).some((g) => f.every((d) => g.some((e) => sameLine(d, e)))),
  );
  const restricted = allowed !== undefined && allowed.length > 0;
  const found: Direction[] = [];
  const add = (d: Vec3, origin: string, apartDeg = 1, to = found): void => {
    const normal = upright(d);
    if (normal && !to.some((f) => sameLine(f.normal, normal, apartDeg)))
      to.push({ normal, origin });
  };
  if (restricted) for (const d of allowed) add(d, 'allowed');
  else {
    PART_AXES.forEach((d, i) => {
      add(d, `axis ${'xyz'[i]}`);
    });
    for (const d of faces) add(d, 'face');
    // Reckoned directions hardly off a plain one bring nothing that turning it a little would not.
    for (const d of box) add(d, 'box', 5);
    for (const d of spread) add(d, 'principal', 5);
  }
  const mirrors = mirrorPlanes(
    skin,
    found.map((d) => d.normal),
  ).slice(0, MOST_MIRRORS);
  const named = found.map((d) =>
    d.origin.startsWith('axis') || !mirrors.some((m) => m.normal === d.normal)
      ? d
      : { ...d, origin: 'symmetry' },
  );
  const own = [...(allowed ?? []), ...faces, ...mirrors.map((m) => m.normal)];
  const directions = named.slice(0, MOST_DIRECTIONS);
  if (!restricted) for (const d of SLANTED) add(d, 'slanted', SLANTED_APART_DEG, directions);
  const net: Direction[] = [];
  if (!restricted) for (const d of NET) add(d, 'slanted', 1, net);
  return {
    directions,
    net: net.filter((n) => !directions.some((d) => sameLine(d.normal, n.normal, NET_APART_DEG))),
    frames,
    mirrors,
    plain: plainNormals(own),
  };
}

/** Lines with the same components up to order and sign; some come more than once. */
function images([a, b, c]: Vec3): Vec3[] {
  const orders: Vec3[] = [[a, b, c], [a, c, b], [b, a, c], [b, c, a], [c, a, b], [c, b, a]]; // prettier-ignore
  return orders.flatMap(([x, y, z]): Vec3[] => [[x, y, z], [-x, y, z], [x, -y, z], [x, y, -z]]); // prettier-ignore
}

const STEPS = 50;
const SIDE = 2 * STEPS + 1;

/** Normals of the largest flat faces: facets binned by normal, both senses together, by area. */
function flatFaces({ positions: p, triangles: t }: Mesh): Vec3[] {
  const areas = new Float64Array(SIDE ** 3);
  const bins = new Int32Array(t.length / 3).fill(-1);
  const normals = new Float64Array(t.length);
  const touched: number[] = [];
  let total = 0;
  for (let f = 0; f < t.length; f += 3) {
    const a = 3 * (t[f] as number);
    const b = 3 * (t[f + 1] as number);
    const c = 3 * (t[f + 2] as number);
    const ux = (p[b] as number) - (p[a] as number), uy = (p[b + 1] as number) - (p[a + 1] as number), uz = (p[b + 2] as number) - (p[a + 2] as number); // prettier-ignore
    const vx = (p[c] as number) - (p[a] as number), vy = (p[c + 1] as number) - (p[a + 1] as number), vz = (p[c + 2] as number) - (p[a + 2] as number); // prettier-ignore
    const x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx; // prettier-ignore
    const area = Math.sqrt(x * x + y * y + z * z);
    if (!(area > 0)) continue;
    total += area;
    const lead = Math.abs(z) > 0.05 * area ? z : Math.abs(y) > 0.05 * area ? y : x;
    const s = lead < 0 ? -1 : 1;
    normals[f] = s * x;
    normals[f + 1] = s * y;
    normals[f + 2] = s * z;
    const k = (s * STEPS) / area;
    const bin =
      ((Math.round(k * x) + STEPS) * SIDE + Math.round(k * y) + STEPS) * SIDE +
      Math.round(k * z) +
      STEPS;
    if (areas[bin] === 0) touched.push(bin);
    areas[bin] = (areas[bin] as number) + area;
    bins[f / 3] = bin;
  }
  const largest = touched
    .filter((bin) => (areas[bin] as number) > 0.02 * total)
    .sort((i, j) => (areas[j] as number) - (areas[i] as number))
    .slice(0, 8);
  const sums = largest.map((): [number, number, number] => [0, 0, 0]);
  if (largest.length > 0)
    for (let f = 0; f < bins.length; f++) {
      const sum = sums[largest.indexOf(bins[f] as number)];
      if (sum) for (const i of [0, 1, 2] as const) sum[i] += normals[3 * f + i] as number;
    }
  return sums.map((sum) => unit(sum)).filter((n) => n !== null);
}
