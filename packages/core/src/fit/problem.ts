import { multiplyQuat, normalizeQuat, quatToMatrix, type Quat } from '../math/index.ts';
import { linearRow, type CellShape, type Frame, type Row } from './conditions.ts';
import type { Extremes } from './extremes.ts';
import type { FreeSpace } from './free-space.ts';
import type { MinMaxLp } from './min-max-lp.ts';
import { fitPlan } from './plan-fit.ts';
import type { Symmetry } from './rotation-domain.ts';

const SIGNS = [[1, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1]] as const; // prettier-ignore
const HALF_TURNS: readonly Quat[] = [[0, 0, 0, 1], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0]]; // prettier-ignore
/** Tangents of a round plan are taken at this many directions. */
const TANGENTS = 65536;

/** The points, the free space, and the few points in play. */
export class Problem {
  readonly symmetry: Symmetry;
  /** Unknowns of the shift in the plan: 0 where walls come in parallel pairs. */
  readonly shifts: 0 | 2;
  /** How far a shift can matter, in units of `planReach`. */
  readonly shiftReach: number;
  private readonly planReach: number;
  private readonly inPlay = new Set<number>();
  private qx: Float64Array = new Float64Array(64);
  private qy: Float64Array = new Float64Array(64);
  private qz: Float64Array = new Float64Array(64);
  private qid: Int32Array = new Int32Array(64);
  private q = 0;
  private readonly reach: readonly [number, number, number];

  private readonly points: Float64Array;

  constructor(
    private readonly far: Extremes,
    private readonly space: FreeSpace,
  ) {
    this.points = far.points;
    const { plan, heightMm } = space;
    if (plan.kind === 'box') {
      const [a, b] = plan.sizeMm;
      this.reach = [a, b, heightMm];
      this.symmetry = a === b ? (b === heightMm ? 'cube' : 'square') : 'box';
      this.shifts = 0;
      this.planReach = 1;
    } else {
      this.reach = [Infinity, Infinity, heightMm];
      this.symmetry = plan.kind === 'disc' ? 'disc' : 'none';
      this.shifts = 2;
      this.planReach =
        plan.kind === 'disc' ? plan.radiusMm : Math.max(...plan.edges.map((e) => e.b));
    }
    const radius = far.radius();
    // Points are centred: a shift longer than their radius takes the middle out of the plan.
    this.shiftReach = (2 * radius) / this.planReach + 2;
    this.startSet();
  }

  /** Extreme points along a fixed spread of directions begin the set in play. */
  private startSet(): void {
    const n = this.points.length / 3;
    if (n <= 96) {
      for (let i = 0; i < n; i++) this.bring(i);
      return;
    }
    for (const i of this.far.spread()) this.bring(i);
  }

  private extremes(x: number, y: number, z: number): [number, number] {
    this.far.along(x, y, z);
    return [this.far.top, this.far.bottom];
  }

  private bring(i: number): void {
    if (this.inPlay.has(i)) return;
    this.inPlay.add(i);
    if (this.q === this.qx.length) {
      const grow = (a: Float64Array): Float64Array => {
        const b = new Float64Array(2 * a.length);
        b.set(a);
        return b;
      };
      this.qx = grow(this.qx);
      this.qy = grow(this.qy);
      this.qz = grow(this.qz);
      const ids = new Int32Array(this.qx.length);
      ids.set(this.qid);
      this.qid = ids;
    }
    const k = this.q++;
    this.qx[k] = this.points[3 * i] as number;
    this.qy[k] = this.points[3 * i + 1] as number;
    this.qz[k] = this.points[3 * i + 2] as number;
    this.qid[k] = i;
  }

  /** tau of a rotation over every point; the points that decide it come into play. */
  measure(rotation: Quat): number {
    const m = quatToMatrix(rotation);
    const { points, space } = this;
    const [top, bottom] = this.extremes(m[6], m[7], m[8]);
    this.bring(top);
    this.bring(bottom);
    let tau = (this.along(m, 6, top) - this.along(m, 6, bottom)) / space.heightMm;
    if (space.plan.kind === 'box') {
      for (const k of [0, 1] as const) {
        const o = 3 * k;
        const [a, b] = this.extremes(m[o] as number, m[o + 1] as number, m[o + 2] as number);
        this.bring(a);
        this.bring(b);
        tau = Math.max(tau, (this.along(m, o, a) - this.along(m, o, b)) / space.plan.sizeMm[k]);
      }
      return tau;
    }
    const n = points.length / 3;
    const xs = new Float64Array(n);
    const ys = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      xs[i] = this.along(m, 0, i);
      ys[i] = this.along(m, 3, i);
    }
    const fit = fitPlan(xs, ys, space);
    this.bringDeciding(xs, ys, fit.shift);
    return Math.max(tau, fit.tau);
  }

  private bringDeciding(
    xs: Float64Array,
    ys: Float64Array,
    shift: readonly [number, number],
  ): void {
    const { plan } = this.space;
    if (plan.kind === 'polygon') {
      for (const { n } of plan.edges) {
        let best = 0;
        let most = -Infinity;
        for (let i = 0; i < xs.length; i++) {
          const d = n[0] * (xs[i] as number) + n[1] * (ys[i] as number);
          if (d > most) {
            most = d;
            best = i;
          }
        }
        this.bring(best);
      }
      return;
    }
    const far = (i: number): number =>
      Math.hypot((xs[i] as number) + shift[0], (ys[i] as number) + shift[1]);
    let r = 0;
    for (let i = 0; i < xs.length; i++) r = Math.max(r, far(i));
    for (let i = 0, brought = 0; i < xs.length && brought < 6; i++)
      if (far(i) >= r * (1 - 1e-6)) {
        this.bring(i);
        brought++;
      }
  }

  private along(m: ArrayLike<number>, o: number, i: number): number {
    const { points } = this;
    return (
      (m[o] as number) * (points[3 * i] as number) +
      (m[o + 1] as number) * (points[3 * i + 1] as number) +
      (m[o + 2] as number) * (points[3 * i + 2] as number)
    );
  }

  quatOf(g: readonly [number, number, number], coset: number): Quat {
    const q = normalizeQuat([g[0], g[1], g[2], 1]);
    return coset === 0 ? q : multiplyQuat(HALF_TURNS[coset] as Quat, q);
  }

  frameIn(g: readonly [number, number, number], coset: number): Frame {
    return {
      m: quatToMatrix(this.quatOf(g, coset)),
      g,
      norm2: 1 + g[0] * g[0] + g[1] * g[1] + g[2] * g[2],
      sign: SIGNS[coset] as readonly [number, number, number],
    };
  }

  frameAt(q: Quat): Frame {
    return { m: quatToMatrix(q), g: [0, 0, 0], norm2: 1, sign: SIGNS[0] };
  }

  /** The rotation of the point y of a cell; y may come as the whole corner of the programme. */
  turnedIn(coset: number, g: readonly [number, number, number], y: ArrayLike<number>): Quat {
    const [a, b, c] = [y[0] as number, y[1] as number, y[2] as number];
    const norm2 = 1 + g[0] * g[0] + g[1] * g[1] + g[2] * g[2];
    const s = 1 / (1 - (a * g[0] + b * g[1] + c * g[2]) / norm2);
    return this.quatOf([g[0] + a * s, g[1] + b * s, g[2] + c * s], coset);
  }

  /** The rotation with Gibbs vector y after `base`. */
  turned(base: Quat, y: ArrayLike<number>): Quat {
    return multiplyQuat(normalizeQuat([y[0] as number, y[1] as number, y[2] as number, 1]), base);
  }

  /**
   * Adds a condition, made linear about the frame, as t >= b + gradient . (y, v). With a cell's
   * corners given the row holds all over the cell; without, its safety term is dropped.
   * @returns the row's number, or -1 when the programme is full
   */
  addRow(lp: MinMaxLp, row: Row, frame: Frame, cell: CellShape | null): number {
    const { gradient } = this;
    const bound = linearRow(row, frame, cell, this.planReach, gradient);
    return lp.addRow(bound, gradient);
  }
  private readonly gradient = new Float64Array(5);

  // What the last look at the points in play found.
  private seen: Quat | null = null;
  private readonly hi = new Int32Array(3);
  private readonly lo = new Int32Array(3);
  private readonly width = new Float64Array(3);

  /** Extremes of the points in play along the machine's axes. */
  private look(q: Quat): void {
    if (this.seen === q) return;
    this.seen = q;
    const m = quatToMatrix(q);
    const { qx, qy, qz } = this;
    const n = this.q;
    const [a, b, c, d, e, f, g, h, k] = m;
    let x1 = -Infinity, y1 = -Infinity, z1 = -Infinity; // prettier-ignore
    let x0 = Infinity, y0 = Infinity, z0 = Infinity; // prettier-ignore
    let right = 0, back = 0, top = 0, left = 0, front = 0, bottom = 0; // prettier-ignore
    for (let i = 0; i < n; i++) {
      const px = qx[i] as number;
      const py = qy[i] as number;
      const pz = qz[i] as number;
      const x = a * px + b * py + c * pz;
      if (x > x1) {
        x1 = x;
        right = i;
      }
      if (x < x0) {
        x0 = x;
        left = i;
      }
      const y = d * px + e * py + f * pz;
      if (y > y1) {
        y1 = y;
        back = i;
      }
      if (y < y0) {
        y0 = y;
        front = i;
      }
      const z = g * px + h * py + k * pz;
      if (z > z1) {
        z1 = z;
        top = i;
      }
      if (z < z0) {
        z0 = z;
        bottom = i;
      }
    }
    const { hi, lo, width } = this;
    hi[0] = right;
    hi[1] = back;
    hi[2] = top;
    lo[0] = left;
    lo[1] = front;
    lo[2] = bottom;
    width[0] = x1 - x0;
    width[1] = y1 - y0;
    width[2] = z1 - z0;
  }

  tauAtCentre(q: Quat): number {
    return this.tauInPlay(q, null);
  }

  /** tau of a rotation over the points in play, with the shift of a corner of the programme. */
  tauInPlay(q: Quat, x: ArrayLike<number> | null): number {
    this.look(q);
    let tau = (this.width[2] as number) / this.reach[2];
    if (this.shifts === 0)
      return Math.max(
        tau,
        (this.width[0] as number) / this.reach[0],
        (this.width[1] as number) / this.reach[1],
      );
    for (const row of this.planRows(q, x)) tau = Math.max(tau, this.valueOf(row, q, x));
    return tau;
  }

  private shiftOf(q: Quat, x: ArrayLike<number> | null): [number, number] {
    if (x) return [(x[3] as number) * this.planReach, (x[4] as number) * this.planReach];
    const m = quatToMatrix(q);
    const middle = (k: number): number =>
      -(this.alongPlay(m, 3 * k, this.hi[k] as number) + this.alongPlay(m, 3 * k, this.lo[k] as number)) / 2; // prettier-ignore
    return [middle(0), middle(1)];
  }

  private alongPlay(m: ArrayLike<number>, o: number, i: number): number {
    return (
      (m[o] as number) * (this.qx[i] as number) +
      (m[o + 1] as number) * (this.qy[i] as number) +
      (m[o + 2] as number) * (this.qz[i] as number)
    );
  }

  private valueOf(row: Row, q: Quat, x: ArrayLike<number> | null): number {
    const m = quatToMatrix(q);
    const [vx, vy] = this.shiftOf(q, x);
    const r = (o: number): number =>
      (m[o] as number) * row.d[0] + (m[o + 1] as number) * row.d[1] + (m[o + 2] as number) * row.d[2]; // prettier-ignore
    return (
      (row.n[0] * r(0) + row.n[1] * r(3) + row.n[2] * r(6) + row.vx * vx + row.vy * vy) / row.reach
    );
  }

  /** The conditions that bind at a rotation: one a pair of walls, edge or tangent. */
  rowsAt(q: Quat, x: ArrayLike<number> | null): Row[] {
    this.look(q);
    const rows: Row[] = [];
    for (let k = 0; k < 3; k++) {
      if (this.reach[k] === Infinity) continue;
      const a = this.hi[k] as number;
      const b = this.lo[k] as number;
      rows.push({
        d: [
          (this.qx[a] as number) - (this.qx[b] as number),
          (this.qy[a] as number) - (this.qy[b] as number),
          (this.qz[a] as number) - (this.qz[b] as number),
        ],
        n: [k === 0 ? 1 : 0, k === 1 ? 1 : 0, k === 2 ? 1 : 0],
        reach: this.reach[k] as number,
        vx: 0,
        vy: 0,
      });
    }
    if (this.shifts > 0) rows.push(...this.planRows(q, x));
    return rows;
  }

  private planRows(q: Quat, x: ArrayLike<number> | null): Row[] {
    const { plan } = this.space;
    const m = quatToMatrix(q);
    const rows: Row[] = [];
    const push = (i: number, nx: number, ny: number, reach: number): void => {
      rows.push({
        d: [this.qx[i] as number, this.qy[i] as number, this.qz[i] as number],
        n: [nx, ny, 0],
        reach,
        vx: nx,
        vy: ny,
      });
    };
    if (plan.kind === 'polygon') {
      for (const { n, b } of plan.edges) {
        let best = 0;
        let most = -Infinity;
        for (let i = 0; i < this.q; i++) {
          const d = n[0] * this.alongPlay(m, 0, i) + n[1] * this.alongPlay(m, 3, i);
          if (d > most) {
            most = d;
            best = i;
          }
        }
        push(best, n[0], n[1], b);
      }
      return rows;
    }
    if (plan.kind !== 'disc') return rows;
    // The farthest point of each of three sectors: a circle is held by two or three points.
    const [vx, vy] = this.shiftOf(q, x);
    const best = [-1, -1, -1];
    const most = [0, 0, 0];
    for (let i = 0; i < this.q; i++) {
      const px = this.alongPlay(m, 0, i) + vx;
      const py = this.alongPlay(m, 3, i) + vy;
      const d = px * px + py * py;
      const sector = px >= 0 ? (py >= 0 ? 0 : 1) : 2;
      if (d > (most[sector] as number)) {
        most[sector] = d;
        best[sector] = i;
      }
    }
    for (const i of best) {
      if (i < 0) continue;
      const angle = Math.atan2(this.alongPlay(m, 3, i) + vy, this.alongPlay(m, 0, i) + vx);
      const a = (Math.round((angle * TANGENTS) / (2 * Math.PI)) * 2 * Math.PI) / TANGENTS;
      push(i, Math.cos(a), Math.sin(a), plan.radiusMm);
    }
    return rows;
  }
}
