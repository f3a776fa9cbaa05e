/**
 * Convex hull of a point set. `positions` are some of the input points, bit for bit; no input
 * point lies outside. `rank` is 3 for a body, 2 for a flat set, 1 for a line, 0 for a single
 * place, -1 for no points; below 3 there are no facets.
 */
export interface Hull {
  /** x, y, z per hull vertex, mm. */
  readonly positions: Float64Array;
  /** Index of each hull vertex among the input points. */
  readonly source: Uint32Array;
  /** Triangles into `positions`, counter-clockwise from outside; coplanar ones are not merged. */
  readonly triangles: Uint32Array;
  readonly rank: -1 | 0 | 1 | 2 | 3;
}
