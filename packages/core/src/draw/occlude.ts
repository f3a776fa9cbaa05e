/**
 * What hides a straight line: triangles between it and the eye, found through a grid on the paper
 * and cut against the line exactly, so that there is no picture resolution. Method: Appel 1967,
 * "The notion of quantitative invisibility", in its plain form, one line against the triangles
 * near it.
 */
export class Occluders {
  readonly #p: Float64Array;
  readonly #t: Uint32Array;
  readonly #facets: Uint32Array;
  readonly #cells: Uint32Array;
  readonly #start: Uint32Array;
  readonly #seen: Uint32Array;
  readonly #x0: number;
  readonly #y0: number;
  readonly #cell: number;
  readonly #nx: number;
  readonly #ny: number;
  readonly #eps: number;
  #stamp = 0;
  /** Hidden stretches of the line asked last, as pairs from, to in 0..1. */
  readonly #runs: number[] = [];

  /**
   * @param projected paper x, y and height of the vertices
   * @param triangles three vertices per facet
   * @param facets which facets can hide something
   */
  constructor(projected: Float64Array, triangles: Uint32Array, facets: Uint32Array) {
    this.#p = projected;
    this.#t = triangles;
    this.#facets = facets;
    let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity, z0 = Infinity, z1 = -Infinity; // prettier-ignore
    for (let i = 0; i < projected.length; i += 3) {
      const x = projected[i] as number;
      const y = projected[i + 1] as number;
      const z = projected[i + 2] as number;
      if (x < x0) x0 = x;
      if (x > x1) x1 = x;
      if (y < y0) y0 = y;
      if (y > y1) y1 = y;
      if (z < z0) z0 = z;
      if (z > z1) z1 = z;
    }
    const w = Math.max(x1 - x0, 0) || 1;
    const h = Math.max(y1 - y0, 0) || 1;
    // About two cells per triangle: measured best between half and four.
    this.#cell = Math.sqrt((w * h) / Math.max(4, 2 * facets.length));
    this.#x0 = x0;
    this.#y0 = y0;
    this.#nx = Math.min(2048, Math.ceil(w / this.#cell) + 1);
    this.#ny = Math.min(2048, Math.ceil(h / this.#cell) + 1);
    this.#cell = Math.max(w / (this.#nx - 1), h / (this.#ny - 1)) * (1 + 1e-12);
    // Lines in a surface must not be hidden by it: rounding of the projection, with room to spare.
    this.#eps = 1e-7 * Math.max(w, h, z1 - z0);
    this.#seen = new Uint32Array(facets.length);
    this.#start = new Uint32Array(this.#nx * this.#ny + 1);
    this.#cells = this.#fill();
  }

  /** Two passes: count the triangles of each cell, then write them, last cell entry first. */
  #fill(): Uint32Array {
    const start = this.#start;
    this.#eachCell((c) => void (start[c] as number)++);
    let sum = 0;
    for (let c = 0; c < start.length; c++) start[c] = sum += start[c] as number;
    const cells = new Uint32Array(sum);
    this.#eachCell((c, k) => {
      const at = (start[c] as number) - 1;
      start[c] = at;
      cells[at] = k;
    });
    return cells;
  }

  #eachCell(put: (cell: number, k: number) => void): void {
    const p = this.#p;
    const t = this.#t;
    const nx = this.#nx;
    for (let k = 0; k < this.#facets.length; k++) {
      const f = 3 * (this.#facets[k] as number);
      const a = 3 * (t[f] as number);
      const b = 3 * (t[f + 1] as number);
      const c = 3 * (t[f + 2] as number);
      const ax = p[a] as number, ay = p[a + 1] as number; // prettier-ignore
      const bx = p[b] as number, by = p[b + 1] as number; // prettier-ignore
      const cx = p[c] as number, cy = p[c + 1] as number; // prettier-ignore
      const i0 = this.#column(Math.min(ax, bx, cx));
      const i1 = this.#column(Math.max(ax, bx, cx));
      const j0 = this.#row(Math.min(ay, by, cy));
      const j1 = this.#row(Math.max(ay, by, cy));
      if (i1 - i0 < 3 || j1 - j0 < 3) {
        for (let j = j0; j <= j1; j++) for (let i = i0; i <= i1; i++) put(j * nx + i, k);
        continue;
      }
      // A large triangle: per row only the columns that its edges span there.
      for (let j = j0; j <= j1; j++) {
        const low = this.#y0 + j * this.#cell;
        const high = low + this.#cell;
        let from = Infinity;
        let to = -Infinity;
        for (let e = 0; e < 3; e++) {
          const ux = e === 0 ? ax : e === 1 ? bx : cx, uy = e === 0 ? ay : e === 1 ? by : cy; // prettier-ignore
          const vx = e === 0 ? bx : e === 1 ? cx : ax, vy = e === 0 ? by : e === 1 ? cy : ay; // prettier-ignore
          if ((uy < low && vy < low) || (uy > high && vy > high)) continue;
          const slope = vy === uy ? 0 : (vx - ux) / (vy - uy);
          const s = ux + slope * (Math.max(low, Math.min(high, uy)) - uy);
          const t = vx + slope * (Math.max(low, Math.min(high, vy)) - vy);
          from = Math.min(from, s, t);
          to = Math.max(to, s, t);
        }
        if (from > to) continue;
        const first = Math.max(i0, this.#column(from - 1e-9 * this.#cell));
        const last = Math.min(i1, this.#column(to + 1e-9 * this.#cell));
        for (let i = first; i <= last; i++) put(j * nx + i, k);
      }
    }
  }

  #column(x: number): number {
    return Math.max(0, Math.min(this.#nx - 1, Math.floor((x - this.#x0) / this.#cell)));
  }

  #row(y: number): number {
    return Math.max(0, Math.min(this.#ny - 1, Math.floor((y - this.#y0) / this.#cell)));
  }

  /**
   * The hidden stretches of the line from a to b (x, y, height each), sorted and apart, as pairs of
   * shares of its length; the array is used again by the next call.
   * @param own facets that end in this line and can't hide it; -1 for none
   */
  hidden(ax: number, ay: number, az: number, bx: number, by: number, bz: number, own: number, other: number): readonly number[] {
    const runs = this.#runs;
    runs.length = 0;
    const stamp = ++this.#stamp;
    const j0 = this.#row(Math.min(ay, by));
    const j1 = this.#row(Math.max(ay, by));
    for (let j = j0; j <= j1; j++) {
      let from = Math.min(ax, bx);
      let to = Math.max(ax, bx);
      if (j1 > j0) {
        // The stretch of the line in this row of cells, the outermost rows being open-ended.
        const low = j === j0 ? -Infinity : this.#y0 + j * this.#cell;
        const high = j === j1 ? Infinity : this.#y0 + (j + 1) * this.#cell;
        const s = Math.max(0, Math.min(1, ((ay < by ? low : high) - ay) / (by - ay)));
        const e = Math.max(0, Math.min(1, ((ay < by ? high : low) - ay) / (by - ay)));
        const xs = ax + (bx - ax) * s;
        const xe = ax + (bx - ax) * e;
        from = Math.min(xs, xe) - 1e-9 * this.#cell;
        to = Math.max(xs, xe) + 1e-9 * this.#cell;
      }
      const i1 = this.#column(to);
      for (let i = this.#column(from); i <= i1; i++) {
        const cell = j * this.#nx + i;
        const end = this.#start[cell + 1] as number;
        for (let n = this.#start[cell] as number; n < end; n++) {
          const k = this.#cells[n] as number;
          if (this.#seen[k] === stamp) continue;
          this.#seen[k] = stamp;
          const f = this.#facets[k] as number;
          if (f !== own && f !== other) this.#cover(f, ax, ay, az, bx, by, bz);
          if (runs.length > 0 && (runs[0] as number) <= 0 && (runs[1] as number) >= 1) return runs;
        }
      }
    }
    return runs;
  } // prettier-ignore

  /** Adds the stretch that one facet hides. */
  #cover(f: number, ax: number, ay: number, az: number, bx: number, by: number, bz: number): void {
    const p = this.#p;
    const t = this.#t;
    const i = 3 * (t[3 * f] as number);
    const j = 3 * (t[3 * f + 1] as number);
    const k = 3 * (t[3 * f + 2] as number);
    const iz = p[i + 2] as number, jz = p[j + 2] as number, kz = p[k + 2] as number; // prettier-ignore
    if (Math.max(iz, jz, kz) <= Math.min(az, bz) + this.#eps) return;
    const ix = p[i] as number, iy = p[i + 1] as number; // prettier-ignore
    const jx = p[j] as number, jy = p[j + 1] as number; // prettier-ignore
    const kx = p[k] as number, ky = p[k + 1] as number; // prettier-ignore
    const area = (jx - ix) * (ky - iy) - (jy - iy) * (kx - ix);
    if (area === 0) return;
    // Barycentric weights of both ends; they are linear along the line.
    const a1 = ((ax - ix) * (ky - iy) - (ay - iy) * (kx - ix)) / area;
    const a2 = ((jx - ix) * (ay - iy) - (jy - iy) * (ax - ix)) / area;
    const b1 = ((bx - ix) * (ky - iy) - (by - iy) * (kx - ix)) / area;
    const b2 = ((jx - ix) * (by - iy) - (jy - iy) * (bx - ix)) / area;
    let from = 0;
    let to = 1;
    for (let side = 0; side < 3; side++) {
      // A line along a triangle's very edge counts as covered: no gap between two triangles.
      const a = nearZero(side === 0 ? a1 : side === 1 ? a2 : 1 - a1 - a2);
      const b = nearZero(side === 0 ? b1 : side === 1 ? b2 : 1 - b1 - b2);
      if (a < 0 && b < 0) return;
      if (a < 0) from = Math.max(from, a / (a - b));
      else if (b < 0) to = Math.min(to, a / (a - b));
    }
    // Height of the facet over the line, linear as well.
    const da = iz + a1 * (jz - iz) + a2 * (kz - iz) - az - this.#eps;
    const db = iz + b1 * (jz - iz) + b2 * (kz - iz) - bz - this.#eps;
    const d0 = da + (db - da) * from;
    const d1 = da + (db - da) * to;
    if (d0 <= 0 && d1 <= 0) return;
    if (d0 < 0) from = Math.max(from, da / (da - db));
    else if (d1 < 0) to = Math.min(to, da / (da - db));
    if (to - from > 1e-9) this.#add(from, to);
  }

  /** Keeps the runs sorted and apart; there are few at a time. */
  #add(from: number, to: number): void {
    const runs = this.#runs;
    let i = 0;
    while (i < runs.length && (runs[i + 1] as number) < from - 1e-9) i += 2;
    let n = i;
    while (n < runs.length && (runs[n] as number) <= to + 1e-9) {
      from = Math.min(from, runs[n] as number);
      to = Math.max(to, runs[n + 1] as number);
      n += 2;
    }
    runs.splice(i, n - i, from < 1e-9 ? 0 : from, to > 1 - 1e-9 ? 1 : to);
  }
}

const nearZero = (x: number): number => (Math.abs(x) < 1e-9 ? 0 : x);
