import { edgeNeighbours, type Mesh } from '../mesh/index.ts';
import { roofsOf, type BridgeOptions } from './bridges.ts';
import { bodyOf, turn } from './turned.ts';

/** Where supports stand, to be looked at. */
export interface SupportSpace {
  /** Walls and undersides of the columns, frame of the part as it stands; not closed on top. */
  readonly skin: Mesh;
  /** Plan area of all columns, mm2; columns over one another count each. */
  readonly areaMm2: number;
}

/** Lower than this a column is nothing to look at, mm. */
const LEAST_MM = 0.3;

/**
 * The space under overhangs that no bridge carries, as upright columns down to the part below or
 * the plate: the same grid that counts bridges for `rankOrientations`. Null where nothing wants
 * supports. Coarse to a cell of that grid.
 * @param mesh as it stands: Z up, the plate at its lowest point
 */
export function supportSpace(mesh: Mesh, options: BridgeOptions): SupportSpace | null {
  const closed = edgeNeighbours(mesh).every((n) => n >= 0);
  const body = bodyOf(mesh, closed);
  const box = turn(body, [0, 0, 1], 0);
  const { columns, roofs, spared } = roofsOf(body, box, options);
  const { nx, ny, cellMm, x0, y0 } = columns;
  /** Per cell its columns from bottom to top, as pairs. */
  const runs = new Map<number, [number, number][]>();
  for (let cell = 0; cell < nx * ny; cell++)
    for (let k = roofs.first[cell] as number; k < (roofs.first[cell + 1] as number); k++) {
      const drop = roofs.drop[k] as number;
      if (roofs.roof[k] !== 1 || spared?.[k] || drop < LEAST_MM) continue;
      const top = roofs.height[k] as number;
      const list = runs.get(cell);
      if (list) list.push([top - drop, top]);
      else runs.set(cell, [[top - drop, top]]);
    }
  if (!runs.size) return null;

  const positions: number[] = [];
  const triangles: number[] = [];
  const quad = (...corners: readonly (readonly [number, number, number])[]): void => {
    const at = positions.length / 3;
    for (const c of corners) positions.push(...c);
    triangles.push(at, at + 1, at + 2, at, at + 2, at + 3);
  };
  const beside = (cell: number, run: readonly [number, number]): boolean =>
    (runs.get(cell) ?? []).some(([a, b]) => a < run[1] && b > run[0]);
  let area = 0;
  for (const [cell, list] of runs) {
    const i = cell % nx;
    const [xa, ya] = [x0 + (i - 0.5) * cellMm, y0 + (Math.floor(cell / nx) - 0.5) * cellMm];
    const [xb, yb] = [xa + cellMm, ya + cellMm];
    for (const run of list) {
      const [low, high] = run;
      area += cellMm * cellMm;
      quad([xa, ya, low], [xa, yb, low], [xb, yb, low], [xb, ya, low]);
      const wall = (x: number, y: number, u: number, v: number): void =>
        quad([x, y, low], [u, v, low], [u, v, high], [x, y, high]);
      if (!beside(cell - nx, run)) wall(xa, ya, xb, ya);
      if (i + 1 === nx || !beside(cell + 1, run)) wall(xb, ya, xb, yb);
      if (!beside(cell + nx, run)) wall(xb, yb, xa, yb);
      if (i === 0 || !beside(cell - 1, run)) wall(xa, yb, xa, ya);
    }
  }
  return {
    skin: { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) },
    areaMm2: area,
  };
}
