import { edgeNeighbours, type Mesh, type Plane } from '../mesh/index.ts';
import type { Vec3 } from '../math/index.ts';

/** A closed rim of sharp edges: the mouth of a hole, a boss, a ring of detail. */
export interface Feature {
  /** Its vertices, flat xyz, mm. */
  readonly points: Float64Array;
}

const SHARP = Math.cos((30 * Math.PI) / 180);

/**
 * Small features of a mesh: closed rings of edges that turn by more than 30 degrees, not larger
 * than `sizeMm` across. A rim is a ring when every vertex on it has exactly two sharp edges.
 */
export function smallFeatures(
  mesh: Mesh,
  sizeMm: number,
  neighbours: Int32Array = edgeNeighbours(mesh),
): Feature[] {
  const { positions: p, triangles: t } = mesh;
  const normals = facetNormals(mesh);
  const count = p.length / 3;
  const degree = new Uint8Array(count);
  const ends = new Int32Array(2 * count).fill(-1);
  const meet = (from: number, to: number): void => {
    const d = degree[from] as number;
    if (d < 2) ends[2 * from + d] = to;
    if (d < 3) degree[from] = d + 1;
  };
  for (let f = 0; f < t.length / 3; f++)
    for (let e = 0; e < 3; e++) {
      const other = neighbours[3 * f + e] as number;
      if (other < f) continue;
      const cos =
        (normals[3 * f] as number) * (normals[3 * other] as number) +
        (normals[3 * f + 1] as number) * (normals[3 * other + 1] as number) +
        (normals[3 * f + 2] as number) * (normals[3 * other + 2] as number);
      if (cos > SHARP) continue;
      const a = t[3 * f + e] as number;
      const b = t[3 * f + ((e + 1) % 3)] as number;
      meet(a, b);
      meet(b, a);
    }
  const seen = new Uint8Array(count);
  const features: Feature[] = [];
  for (let start = 0; start < count; start++) {
    if (seen[start] || degree[start] !== 2) continue;
    const ring = [start];
    seen[start] = 1;
    let before = start;
    let at = ends[2 * start] as number;
    while (at !== start && degree[at] === 2 && !seen[at]) {
      seen[at] = 1;
      ring.push(at);
      const step = (ends[2 * at] === before ? ends[2 * at + 1] : ends[2 * at]) as number;
      before = at;
      at = step;
    }
    if (at !== start || ring.length < 3) continue;
    const points = new Float64Array(3 * ring.length);
    ring.forEach((v, i) => {
      points.set(p.subarray(3 * v, 3 * v + 3), 3 * i);
    });
    if (spanOf(points) <= sizeMm) features.push({ points });
  }
  return features;
}

function facetNormals({ positions: p, triangles: t }: Mesh): Float64Array {
  const out = new Float64Array(t.length);
  for (let f = 0; f < t.length; f += 3) {
    const a = 3 * (t[f] as number);
    const b = 3 * (t[f + 1] as number);
    const c = 3 * (t[f + 2] as number);
    const ux = (p[b] as number) - (p[a] as number), uy = (p[b + 1] as number) - (p[a + 1] as number), uz = (p[b + 2] as number) - (p[a + 2] as number); // prettier-ignore
    const vx = (p[c] as number) - (p[a] as number), vy = (p[c + 1] as number) - (p[a + 1] as number), vz = (p[c + 2] as number) - (p[a + 2] as number); // prettier-ignore
    const x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx; // prettier-ignore
    const l = Math.hypot(x, y, z) || 1;
    out[f] = x / l;
    out[f + 1] = y / l;
    out[f + 2] = z / l;
  }
  return out;
}

function spanOf(points: Float64Array): number {
  let sum = 0;
  for (let c = 0; c < 3; c++) {
    let low = Infinity;
    let high = -Infinity;
    for (let i = c; i < points.length; i += 3) {
      low = Math.min(low, points[i] as number);
      high = Math.max(high, points[i] as number);
    }
    sum += (high - low) ** 2;
  }
  return Math.sqrt(sum);
}

/** Heights between which a plane square to `normal` cuts the feature in two. */
export function featureInterval(feature: Feature, normal: Vec3): readonly [number, number] {
  let low = Infinity;
  let high = -Infinity;
  const p = feature.points;
  for (let i = 0; i < p.length; i += 3) {
    const h =
      (p[i] as number) * normal[0] +
      (p[i + 1] as number) * normal[1] +
      (p[i + 2] as number) * normal[2];
    if (h < low) low = h;
    if (h > high) high = h;
  }
  return [low, high];
}

/** Features that the plane cuts in two; a rim that lies in the plane or touches it is whole. */
export const featuresCut = (features: readonly Feature[], plane: Plane): number =>
  features.filter((f) => {
    const [low, high] = featureInterval(f, plane.normal);
    const slack = 1e-6 * (high - low) + 1e-9;
    return plane.offsetMm > low + slack && plane.offsetMm < high - slack;
  }).length;
