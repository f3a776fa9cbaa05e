/**
 * The small linear programme behind every bound of the search:
 *
 *   least t such that t >= b_j + g_j . y for every row j, with |y_i| <= Y_i.
 *
 * Dual simplex over an explicit inverse. Rows may be added at any time; the next `solve` goes on
 * from the last corner. Whatever rounding does to the corner, `bound` stays a true lower bound: it
 * is recomputed from the multipliers alone, and any non-negative multipliers prove one (weak
 * duality).
 */
export class MinMaxLp {
  readonly dim: number;
  /** Half widths Y of the box. */
  readonly box: Float64Array;
  /** The corner found: y, then t. */
  readonly x: Float64Array;
  /** Proved: t is nowhere less than this in the box. */
  bound = -Infinity;
  rows = 0;
  private readonly capacity: number;
  private readonly size: number;
  private readonly g: Float64Array;
  private readonly b: Float64Array;
  private readonly inverse: Float64Array;
  /** Row held by each place of the basis: j for row j, -1-i for y_i >= -Y_i, -1-dim-i for <= Y_i. */
  private readonly basis: Int32Array;
  private readonly mu: Float64Array;
  private started = false;

  constructor(dim: number, capacity: number) {
    this.dim = dim;
    this.capacity = capacity;
    this.size = dim + 1;
    this.box = new Float64Array(dim);
    this.x = new Float64Array(this.size);
    this.g = new Float64Array(dim * capacity);
    this.b = new Float64Array(capacity);
    this.inverse = new Float64Array(this.size * this.size);
    this.basis = new Int32Array(this.size);
    this.mu = new Float64Array(this.size);
  }

  reset(): void {
    this.rows = 0;
    this.started = false;
    this.bound = -Infinity;
  }

  /** Adds t >= b + g . y; `g` is read from `gradient[0..dim)`. Full means ignored: still a bound. */
  addRow(b: number, gradient: ArrayLike<number>): number {
    if (this.rows >= this.capacity) return -1;
    const j = this.rows++;
    this.b[j] = b;
    for (let i = 0; i < this.dim; i++) this.g[j * this.dim + i] = gradient[i] as number;
    return j;
  }

  /** Share of row j in the proof of the last `solve`; 0 for rows that do not matter. */
  multiplier(j: number): number {
    for (let p = 0; p < this.size; p++)
      if (this.basis[p] === j) return Math.max(0, this.inverse[this.dim * this.size + p] as number);
    return 0;
  }

  solve(): void {
    if (this.rows === 0) return;
    if (!this.started) this.start();
    const limit = 24 + 4 * this.rows;
    for (let step = 0; step < limit; step++) if (!this.pivot()) break;
    this.prove();
  }

  /** The corner where the first row is least in the box: its multipliers are non-negative. */
  private start(): void {
    const { dim, size, inverse, basis, g, x, box } = this;
    inverse.fill(0);
    let t = this.b[0] as number;
    for (let i = 0; i < dim; i++) {
      const gi = g[i] as number;
      const s = gi >= 0 ? 1 : -1;
      basis[i] = s > 0 ? -1 - i : -1 - dim - i;
      inverse[i * size + i] = s;
      inverse[dim * size + i] = gi * s;
      x[i] = -s * (box[i] as number);
      t += gi * (x[i] as number);
    }
    basis[dim] = 0;
    inverse[dim * size + dim] = 1;
    x[dim] = t;
    this.started = true;
  }

  /** Brings in the worst violated row; false when none is, or none can be. */
  private pivot(): boolean {
    const { dim, size, inverse, basis, g, b, x, box, mu } = this;
    const t = x[dim] as number;
    let worst = 1e-13 * (1 + Math.abs(t));
    let enter = -1 - 2 * dim - 1;
    const none = enter;
    for (let j = 0; j < this.rows; j++) {
      let v = (b[j] as number) - t;
      for (let i = 0; i < dim; i++) v += (g[j * dim + i] as number) * (x[i] as number);
      if (v > worst) {
        worst = v;
        enter = j;
      }
    }
    for (let i = 0; i < dim; i++) {
      const v = Math.abs(x[i] as number) - (box[i] as number);
      if (v > worst) {
        worst = v;
        enter = (x[i] as number) < 0 ? -1 - i : -1 - dim - i;
      }
    }
    if (enter === none) return false;
    // mu = (row that enters) times the inverse.
    for (let p = 0; p < size; p++) {
      let s: number;
      if (enter >= 0) {
        s = inverse[dim * size + p] as number;
        for (let i = 0; i < dim; i++)
          s -= (g[enter * dim + i] as number) * (inverse[i * size + p] as number);
      } else if (enter >= -dim) s = inverse[(-1 - enter) * size + p] as number;
      else s = -(inverse[(-1 - dim - enter) * size + p] as number);
      mu[p] = s;
    }
    let leave = -1;
    let least = Infinity;
    for (let p = 0; p < size; p++) {
      const m = mu[p] as number;
      if (m <= 1e-12) continue;
      const ratio = Math.max(0, inverse[dim * size + p] as number) / m;
      if (ratio < least) {
        least = ratio;
        leave = p;
      }
    }
    if (leave < 0) return false;
    const inv = 1 / (mu[leave] as number);
    for (let r = 0; r < size; r++) {
      const c = (inverse[r * size + leave] as number) * inv;
      if (c !== 0) {
        for (let p = 0; p < size; p++)
          if (p !== leave)
            inverse[r * size + p] = (inverse[r * size + p] as number) - (mu[p] as number) * c;
        x[r] = (x[r] as number) + c * worst;
      }
      inverse[r * size + leave] = c;
    }
    basis[leave] = enter;
    return true;
  }

  /** Weak duality: sum of l_j b_j - sum over i of Y_i |sum of l_j g_ji|, with the l_j summing to 1. */
  private prove(): void {
    const { dim, size, inverse, basis, g, b, box } = this;
    let total = 0;
    for (let p = 0; p < size; p++)
      if ((basis[p] as number) >= 0) total += Math.max(0, inverse[dim * size + p] as number);
    if (!(total > 0)) return;
    let value = 0;
    for (let i = -1; i < dim; i++) {
      let s = 0;
      for (let p = 0; p < size; p++) {
        const j = basis[p] as number;
        if (j < 0) continue;
        const l = Math.max(0, inverse[dim * size + p] as number) / total;
        s += l * (i < 0 ? (b[j] as number) : (g[j * dim + i] as number));
      }
      value += i < 0 ? s : -(box[i] as number) * Math.abs(s);
    }
    if (value > this.bound) this.bound = value;
  }
}
