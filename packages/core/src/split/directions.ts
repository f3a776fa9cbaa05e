import type { Mesh, Plane } from '../mesh/index.ts';
import { unit, type Vec3 } from '../math/index.ts';
import { extremePoints, PART_AXES, sameLine, smallBox, spreadAxes, upright, type Axes } from './frames.ts'; // prettier-ignore
import { mirrorPlanes } from './symmetry.ts';

export interface Direction {
  readonly normal: Vec3;
  readonly origin: string;
}

export interface Candidates {
  /** Plane normals to try, the tidiest first, no two within one degree. */
  readonly directions: readonly Direction[];
  /** Frames whose boxes tell roughly how many pieces a body needs. */
  readonly frames: readonly Axes[];
  readonly mirrors: readonly Plane[];
}

const MOST_DIRECTIONS = 10;
const MOST_MIRRORS = 3;

/**
 * Where planes may come from: the part's axes, the axes of a small box, the principal axes, the
 * normals of its large flat faces, its mirror planes. `allowed`, when given, replaces them all.
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
  const found: Direction[] = [];
  const add = (d: Vec3, origin: string): void => {
    const normal = upright(d);
    if (normal && !found.some((f) => sameLine(f.normal, normal))) found.push({ normal, origin });
  };
  if (allowed && allowed.length > 0) for (const d of allowed) add(d, 'allowed');
  else {
    PART_AXES.forEach((d, i) => {
      add(d, `axis ${'xyz'[i]}`);
    });
    for (const d of box) add(d, 'box');
    for (const d of spread) add(d, 'principal');
    for (const d of faces) add(d, 'face');
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
  return { directions: named.slice(0, MOST_DIRECTIONS), frames, mirrors };
}

/** Normals of the largest flat faces: facets binned by normal, both senses together, by area. */
function flatFaces(mesh: Mesh): Vec3[] {
  const bins = new Map<number, { sum: [number, number, number]; area: number }>();
  const { positions: p, triangles: t } = mesh;
  let total = 0;
  for (let f = 0; f < t.length; f += 3) {
    const a = 3 * (t[f] as number);
    const b = 3 * (t[f + 1] as number);
    const c = 3 * (t[f + 2] as number);
    const ux = (p[b] as number) - (p[a] as number), uy = (p[b + 1] as number) - (p[a + 1] as number), uz = (p[b + 2] as number) - (p[a + 2] as number); // prettier-ignore
    const vx = (p[c] as number) - (p[a] as number), vy = (p[c + 1] as number) - (p[a + 1] as number), vz = (p[c + 2] as number) - (p[a + 2] as number); // prettier-ignore
    const n: Vec3 = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const area = Math.hypot(n[0], n[1], n[2]);
    if (!(area > 0)) continue;
    total += area;
    const lead = Math.abs(n[2]) > 0.05 * area ? n[2] : Math.abs(n[1]) > 0.05 * area ? n[1] : n[0];
    const s = lead < 0 ? -1 : 1;
    const key =
      (Math.round((50 * s * n[0]) / area) * 128 + Math.round((50 * s * n[1]) / area)) * 128 +
      Math.round((50 * s * n[2]) / area);
    const bin = bins.get(key);
    if (bin) {
      for (let i = 0; i < 3; i++) bin.sum[i as 0] = bin.sum[i as 0] + s * (n[i] as number);
      bin.area += area;
    } else bins.set(key, { sum: [s * n[0], s * n[1], s * n[2]], area });
  }
  return [...bins.values()]
    .filter((b) => b.area > 0.02 * total)
    .sort((x, y) => y.area - x.area)
    .slice(0, 8)
    .map((b) => unit(b.sum))
    .filter((n) => n !== null);
}
