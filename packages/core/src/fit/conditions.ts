/**
 * One condition of the fit, true for every rotation R and shift v that hold the points at factor
 * t: n . R d + (vx, vy) . v <= reach * t. For an axis with two parallel walls d joins two points
 * and no shift is needed; for an edge or a tangent of the plan d is one point.
 */
export interface Row {
  readonly d: readonly [number, number, number];
  readonly n: readonly [number, number, number];
  readonly reach: number;
  readonly vx: number;
  readonly vy: number;
}

/** A rotation about which conditions are made linear, and the cell's map from y to g'. */
export interface Frame {
  readonly m: readonly number[];
  readonly g: readonly [number, number, number];
  readonly norm2: number;
  readonly sign: readonly [number, number, number];
}

/** The box of a cell in y, and its image in g': four corners (the others are opposite). */
export interface CellShape {
  readonly box: ArrayLike<number>;
  readonly corners: Float64Array;
  /** Largest |g'|^2. */
  readonly r2: number;
}

/**
 * A condition made linear about the frame: t >= bound + gradient . (y, v), v in units of
 * `planReach`. Over a cell it holds everywhere; without one its safety term is dropped.
 *
 * For the turn with Gibbs vector g: n . R d = a + (c . g - S) / (1 + |g|^2), where a = n . d,
 * c = 2 d x n and S = 2 (a |g|^2 - (g . n)(g . d)), d being already in the frame. Adding
 * (|d| - a) |g|^2 makes S convex, so that its corners bound it; the division takes away at most
 * |c . g| |g|^2 more.
 * @param gradient five numbers, overwritten
 * @returns the bound
 */
export function linearRow(
  row: Row,
  frame: Frame,
  cell: CellShape | null,
  planReach: number,
  gradient: Float64Array,
): number {
  const { m, g, norm2, sign } = frame;
  const [dx, dy, dz] = row.d;
  const [nx, ny, nz] = row.n;
  const x = (m[0] as number) * dx + (m[1] as number) * dy + (m[2] as number) * dz;
  const y = (m[3] as number) * dx + (m[4] as number) * dy + (m[5] as number) * dz;
  const z = (m[6] as number) * dx + (m[7] as number) * dy + (m[8] as number) * dz;
  const a = x * nx + y * ny + z * nz;
  const cx = 2 * (y * nz - z * ny) * sign[0];
  const cy = 2 * (z * nx - x * nz) * sign[1];
  const cz = 2 * (x * ny - y * nx) * sign[2];
  // A^T c = c - g x c, over N.
  const px = (cx - (g[1] * cz - g[2] * cy)) / norm2;
  const py = (cy - (g[2] * cx - g[0] * cz)) / norm2;
  const pz = (cz - (g[0] * cy - g[1] * cx)) / norm2;
  let loss = 0;
  if (cell) {
    const { corners, r2, box } = cell;
    const size = Math.sqrt(dx * dx + dy * dy + dz * dz);
    for (let k = 0; k < 12; k += 3) {
      const u = (corners[k] as number) * sign[0];
      const v = (corners[k + 1] as number) * sign[1];
      const w = (corners[k + 2] as number) * sign[2];
      const s =
        (a + size) * (u * u + v * v + w * w) -
        2 * (u * nx + v * ny + w * nz) * (u * x + v * y + w * z);
      if (s > loss) loss = s;
    }
    loss +=
      r2 *
      (Math.abs(px) * (box[0] as number) +
        Math.abs(py) * (box[1] as number) +
        Math.abs(pz) * (box[2] as number));
  }
  const f = 1 / row.reach;
  gradient[0] = px * f;
  gradient[1] = py * f;
  gradient[2] = pz * f;
  gradient[3] = row.vx * planReach * f;
  gradient[4] = row.vy * planReach * f;
  return (a - loss) * f;
}
