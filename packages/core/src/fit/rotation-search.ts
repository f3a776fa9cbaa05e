import { checkCancelled, type Context } from '../context.ts';
import type { Quat } from '../math/index.ts';
import type { FreeSpace } from './free-space.ts';
import type { Extremes } from './extremes.ts';
import { MinMaxLp } from './min-max-lp.ts';
import type { CellShape, Row } from './conditions.ts';
import { Problem } from './problem.ts';
import { rootCells, outsideDomain } from './rotation-domain.ts';

/**
 * The certified search over all rotations. For a rotation R let tau(R) be the least factor by
 * which the free space must be blown up to hold the turned points; the largest scale at which they
 * fit is 1 / min tau.
 *
 * Method: branch and bound over cells of Gibbs vectors (quaternion (1, g)), best first. Within a
 * cell every facet condition, written for the rotation relative to the cell's middle, is linear in
 * the relative Gibbs vector g' up to a second-order term of at most |D| |g'|^2 for a point or point
 * pair D. So a linear programme over the cell, with the conditions found so far, bounds tau from
 * below with an error that shrinks with the square of the cell's size, where a bound on each width
 * by itself would shrink with the size only: the widths of one rotation move together. Conditions
 * are found as they are needed (Kelley 1960), and points are added to the set in play only when an
 * evaluation of the whole hull asks for them: any subset of the points proves a lower bound.
 * The covering of rotations follows Hartley and Kahl 2009.
 */
export interface SearchResult {
  /** Least tau found; measured over every point at `rotation`. */
  readonly tau: number;
  readonly rotation: Quat;
  /** Proved: no rotation has a smaller tau. */
  readonly bound: number;
  readonly cells: number;
  readonly complete: boolean;
}

export interface SearchOptions extends Context {
  readonly precision: number;
  readonly decideOnly: boolean;
  readonly maxCells: number;
  /** All rotations (default), or only turns about Z. */
  readonly turns?: 'any' | 'yaw';
  /** Rotations worth trying first. */
  readonly seeds: readonly Quat[];
  /** Rotations to walk downhill from, one after the other. */
  readonly starts?: readonly Quat[];
}

/** Above this scale nobody needs to know more exactly than `COARSE_PRECISION`. */
export const AMPLE_SCALE = 1.5;
export const COARSE_PRECISION = 0.03;
/** A part that just touches is said to fit: room for the rounding of a rotation matrix. */
export const TOUCH = 1e-9;

const MAX_ROWS = 16;
const KEPT_ROWS = 8;
const LARGEST_RADIUS = 0.45;

interface Cell {
  readonly g: readonly [number, number, number];
  readonly h: readonly [number, number, number];
  readonly coset: number;
  bound: number;
  rows: readonly Row[];
}

export function searchRotations(
  points: Extremes,
  space: FreeSpace,
  options: SearchOptions,
): SearchResult {
  const problem = new Problem(points, space);
  const incumbent = new Incumbent(problem);
  const yaw = options.turns === 'yaw';
  for (const q of options.seeds) incumbent.offer(q);
  if (!yaw) incumbent.polish();
  for (const q of options.starts ?? []) incumbent.polishFrom(q);
  const lp = new MinMaxLp(3 + problem.shifts, MAX_ROWS);
  const bounder = new Bounder(problem, lp, incumbent, !yaw);
  const heap = new Heap();
  let cells = 0;
  let pruned = Infinity;
  const enough = (bound: number): boolean => {
    if (options.decideOnly) {
      if (bound > 1 + TOUCH) return true;
      if (incumbent.tau <= 1) return true;
    }
    const ample = incumbent.tau * AMPLE_SCALE <= 1;
    const precision = ample ? Math.max(COARSE_PRECISION, options.precision) : options.precision;
    return bound * (1 + precision) >= incumbent.tau;
  };
  const add = (cell: Cell): void => {
    if (outsideDomain(cell.g, cell.h, problem.symmetry)) return;
    cells++;
    bounder.bound(cell, enough);
    if (enough(cell.bound)) pruned = Math.min(pruned, cell.bound);
    else heap.push(cell);
  };
  for (const root of rootCells(problem.symmetry, options.turns))
    add({ ...root, bound: 0, rows: [] });
  let complete = true;
  for (let cell = heap.pop(); cell; cell = heap.pop()) {
    if (enough(cell.bound) || cells >= options.maxCells) {
      complete = enough(cell.bound);
      pruned = Math.min(pruned, cell.bound);
      break;
    }
    if ((cells & 127) < 2) checkCancelled(options);
    for (const child of split(cell)) add(child);
  }
  // The bound is computed in doubles; a relative 1e-12 is ten times what its few dozen
  // operations can lose.
  const bound = Math.min(pruned, incumbent.tau) * (1 - 1e-12);
  return { tau: incumbent.tau, rotation: incumbent.rotation, bound, cells, complete };
}

/** Halves a cell across the side that turns the part most. */
function split(cell: Cell): Cell[] {
  const { g, h } = cell;
  let widest = 0;
  let most = -1;
  for (let i = 0; i < 3; i++) {
    const a = g[(i + 1) % 3] as number;
    const b = g[(i + 2) % 3] as number;
    // |(I + [g]x) e_i|^2 = 1 + the square of g's part across e_i.
    const turn = (h[i] as number) * Math.sqrt(1 + a * a + b * b);
    if (turn > most) {
      most = turn;
      widest = i;
    }
  }
  const half = h.map((x, i) => (i === widest ? x / 2 : x)) as [number, number, number];
  return [-1, 1].map((s) => ({
    g: g.map((x, i) => (i === widest ? x + s * (half[i] as number) : x)) as [
      number,
      number,
      number,
    ],
    h: half,
    coset: cell.coset,
    bound: cell.bound,
    rows: cell.rows,
  }));
}

/** The best rotation so far, always measured over every point. */
class Incumbent {
  tau = Infinity;
  rotation: Quat = [0, 0, 0, 1];
  private readonly lp: MinMaxLp;

  constructor(private readonly problem: Problem) {
    this.lp = new MinMaxLp(3 + problem.shifts, 4 * MAX_ROWS);
  }

  /** Measures a rotation over every point; points that decide it join the set in play. */
  offer(q: Quat): boolean {
    const tau = this.problem.measure(q);
    if (!(tau < this.tau)) return false;
    this.tau = tau;
    this.rotation = q;
    return true;
  }

  /** Walks downhill from `q`, and keeps the better of what it finds and what it had. */
  polishFrom(q: Quat): void {
    const { tau, rotation } = this;
    this.tau = this.problem.measure(q);
    this.rotation = q;
    this.polish();
    if (this.tau < tau) return;
    this.tau = tau;
    this.rotation = rotation;
  }

  /** Walks downhill: the linear programme without its safety term, in a box that adapts. */
  polish(): void {
    const { problem, lp } = this;
    let reach = 0.2;
    let last = this.tau;
    for (let round = 0; round < 40 && reach > 1e-9; round++) {
      const base = this.rotation;
      const frame = problem.frameAt(base);
      lp.reset();
      lp.box.fill(reach);
      for (let k = 3; k < lp.dim; k++) lp.box[k] = problem.shiftReach;
      let rows = problem.rowsAt(base, null);
      let best = false;
      for (let cut = 0; cut < 8; cut++) {
        for (const row of rows) problem.addRow(lp, row, frame, null);
        lp.solve();
        const q = problem.turned(base, lp.x);
        const tau = problem.tauInPlay(q, lp.x);
        if (tau < this.tau * (1 - 1e-13) && this.offer(q)) best = true;
        if (tau <= (lp.x[lp.dim] as number) + 1e-12) break;
        rows = problem.rowsAt(q, lp.x);
      }
      if (best && this.tau < last * (1 - 1e-3)) reach = Math.min(0.3, reach * 1.5);
      else reach *= best ? 0.5 : 0.25;
      last = this.tau;
    }
  }
}

/** Proves a lower bound on tau over one cell. */
class Bounder {
  constructor(
    private readonly problem: Problem,
    private readonly lp: MinMaxLp,
    private readonly incumbent: Incumbent,
    /** Walking downhill would leave a restricted family of turns. */
    private readonly polish: boolean,
  ) {}

  bound(cell: Cell, enough: (bound: number) => boolean): void {
    const { problem, lp, incumbent } = this;
    const frame = problem.frameIn(cell.g, cell.coset);
    const centre = problem.quatOf(cell.g, cell.coset);
    const kappa =
      (cell.h[0] * Math.abs(cell.g[0]) +
        cell.h[1] * Math.abs(cell.g[1]) +
        cell.h[2] * Math.abs(cell.g[2])) /
      frame.norm2;
    // y = delta / (1 + delta . g0 / N): the image of the cell, boxed.
    const grow = 1 / (1 - Math.min(kappa, 0.999));
    for (let i = 0; i < 3; i++) lp.box[i] = (cell.h[i] as number) * grow;
    for (let k = 3; k < lp.dim; k++) lp.box[k] = problem.shiftReach;
    const shape = shapeOf(lp.box, cell.g, frame.norm2);
    if (shape.r2 > LARGEST_RADIUS * LARGEST_RADIUS || kappa > 0.9) {
      const tau = problem.tauAtCentre(centre);
      if (tau < incumbent.tau && incumbent.offer(centre) && this.polish) incumbent.polish();
      return;
    }
    lp.reset();
    const rows: Row[] = [];
    const put = (row: Row): void => {
      if (problem.addRow(lp, row, frame, shape) >= 0) rows.push(row);
    };
    for (const row of cell.rows) put(row);
    for (const row of problem.rowsAt(centre, null)) put(row);
    if (rows.length === 0) return;
    let before = -Infinity;
    for (let cut = 0; cut < 6; cut++) {
      lp.solve();
      if (lp.bound > cell.bound) cell.bound = lp.bound;
      if (enough(cell.bound)) break;
      const q = problem.turnedIn(cell.coset, cell.g, lp.x);
      const tau = problem.tauInPlay(q, lp.x);
      if (tau < incumbent.tau * (1 - 1e-9) && incumbent.offer(q)) {
        if (this.polish) incumbent.polish();
        if (enough(cell.bound)) break;
      }
      // Once the relaxed optimum is nearly the true value there, only a smaller cell can help.
      if (cut > 0 && lp.bound - before < 0.05 * (incumbent.tau - lp.bound)) break;
      before = lp.bound;
      const known = rows.length;
      for (const row of problem.rowsAt(q, lp.x)) put(row);
      if (rows.length === known) break;
    }
    const weighed = rows.map((row, j) => ({ row, weight: lp.multiplier(j) }));
    weighed.sort((a, b) => b.weight - a.weight);
    cell.rows = weighed.slice(0, KEPT_ROWS).filter((w) => w.weight > 0).map((w) => w.row); // prettier-ignore
  }
}

/** Corners g' = A y / N of a cell's box; |g'|^2 is convex, so a corner has the largest. */
function shapeOf(
  box: Float64Array,
  g: readonly [number, number, number],
  norm2: number,
): CellShape {
  const corners = new Float64Array(12);
  let r2 = 0;
  for (let s = 0; s < 4; s++) {
    const x = box[0] as number;
    const y = (s & 1 ? -1 : 1) * (box[1] as number);
    const z = (s & 2 ? -1 : 1) * (box[2] as number);
    const u = (x + g[1] * z - g[2] * y) / norm2;
    const v = (y + g[2] * x - g[0] * z) / norm2;
    const w = (z + g[0] * y - g[1] * x) / norm2;
    corners[3 * s] = u;
    corners[3 * s + 1] = v;
    corners[3 * s + 2] = w;
    r2 = Math.max(r2, u * u + v * v + w * w);
  }
  return { box, corners, r2: r2 * (1 + 1e-14) };
}

/** Smallest bound first. */
class Heap {
  private readonly items: Cell[] = [];

  push(cell: Cell): void {
    const { items } = this;
    let i = items.length;
    items.push(cell);
    while (i > 0) {
      const p = (i - 1) >> 1;
      const parent = items[p] as Cell;
      if (parent.bound <= cell.bound) break;
      items[i] = parent;
      i = p;
    }
    items[i] = cell;
  }

  pop(): Cell | undefined {
    const { items } = this;
    const top = items[0];
    const last = items.pop();
    if (items.length === 0 || last === undefined) return top;
    let i = 0;
    for (;;) {
      let c = 2 * i + 1;
      if (c >= items.length) break;
      if (c + 1 < items.length && (items[c + 1] as Cell).bound < (items[c] as Cell).bound) c++;
      if ((items[c] as Cell).bound >= last.bound) break;
      items[i] = items[c] as Cell;
      i = c;
    }
    items[i] = last;
    return top;
  }
}
