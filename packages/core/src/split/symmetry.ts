import { boundsOf, type Plane } from '../mesh/index.ts';
import { dot, type Vec3 } from '../math/index.ts';

/** Points hashed into cells, to ask if any lies near a place. */
export class PointGrid {
  private readonly cells = new Map<number, number[]>();
  private readonly points: Float64Array;
  private readonly cell: number;

  constructor(points: Float64Array, cell: number) {
    this.points = points;
    this.cell = cell;
    for (let i = 0; i < points.length; i += 3) {
      const key = this.key(points[i] as number, points[i + 1] as number, points[i + 2] as number);
      const list = this.cells.get(key);
      if (list) list.push(i);
      else this.cells.set(key, [i]);
    }
  }

  private key(x: number, y: number, z: number): number {
    const i = Math.floor(x / this.cell);
    const j = Math.floor(y / this.cell);
    const k = Math.floor(z / this.cell);
    // Different cells may share a key; distances are checked in any case.
    return (i * 131071 + j) * 131071 + k;
  }

  /** Whether some point lies within one cell's width of p. */
  near(p: Vec3): boolean {
    for (let dx = -1; dx <= 1; dx++)
      for (let dy = -1; dy <= 1; dy++)
        for (let dz = -1; dz <= 1; dz++) {
          const list = this.cells.get(
            this.key(p[0] + dx * this.cell, p[1] + dy * this.cell, p[2] + dz * this.cell),
          );
          for (const i of list ?? []) {
            const d = Math.hypot(
              (this.points[i] as number) - p[0],
              (this.points[i + 1] as number) - p[1],
              (this.points[i + 2] as number) - p[2],
            );
            if (d <= this.cell) return true;
          }
        }
    return false;
  }
}

export const mirrored = (p: Vec3, plane: Plane): Vec3 => {
  const d = 2 * (dot(plane.normal, p) - plane.offsetMm);
  return [p[0] - d * plane.normal[0], p[1] - d * plane.normal[1], p[2] - d * plane.normal[2]];
};

/** The direction seen in the mirror. */
export const mirroredDirection = (d: Vec3, plane: Plane): Vec3 =>
  mirrored(d, { normal: plane.normal, offsetMm: 0 });

/**
 * Mirror planes among those square to the given directions through the middle of the part's
 * extent: kept when the image of every vertex tried (at most 1500, evenly picked) has a vertex
 * within `tolerance` of the part's diagonal. A mesh whose facets are not laid symmetrically may
 * be missed; none is invented beyond the tolerance.
 */
export function mirrorPlanes(
  points: Float64Array,
  directions: readonly Vec3[],
  tolerance = 1e-3,
): Plane[] {
  const box = boundsOf(points);
  const diagonal = Math.hypot(
    box.max[0] - box.min[0],
    box.max[1] - box.min[1],
    box.max[2] - box.min[2],
  );
  if (!(diagonal > 0)) return [];
  // The grid is dear and most parts have no mirror plane: it is made when first asked for.
  let grid: PointGrid | undefined;
  const stride = Math.max(1, Math.floor(points.length / 3 / 1500));
  return directions.flatMap((normal) => {
    let low = Infinity;
    let high = -Infinity;
    let sum = 0;
    for (let i = 0; i < points.length; i += 3) {
      const w =
        (points[i] as number) * normal[0] +
        (points[i + 1] as number) * normal[1] +
        (points[i + 2] as number) * normal[2];
      if (w < low) low = w;
      if (w > high) high = w;
      sum += w;
    }
    // The vertices of a mirrored mesh have their mean on the mirror plane.
    const mean = (3 * sum) / points.length;
    if (Math.abs(mean - (low + high) / 2) > tolerance * diagonal) return [];
    grid ??= new PointGrid(points, tolerance * diagonal);
    const plane = { normal, offsetMm: (low + high) / 2 };
    for (let i = 0; i < points.length; i += 3 * stride) {
      const p: Vec3 = [points[i] as number, points[i + 1] as number, points[i + 2] as number];
      if (!grid.near(mirrored(p, plane))) return [];
    }
    return [plane];
  });
}
