import type { Body, Scratch, Turned } from './turned.ts';

/** A grid of vertical columns over a turned part and all places where they cross its surface. */
export interface Columns {
  readonly nx: number;
  readonly ny: number;
  /** Side of a cell, mm. */
  readonly cellMm: number;
  /** Where the first column stands in the turned frame, mm; column i, j is i, j cells further. */
  readonly x0: number;
  readonly y0: number;
  readonly crossings: number;
}

/** Where in its cell a column stands, along X and Y, as a share of the cell. */
const OFFSET = 0.3819660112501051;

/**
 * All crossings of a grid of vertical lines with the turned surface, written to `body.scratch`.
 *
 * Method: each facet is swept row by row; where a row meets an edge is computed from the edge's
 * lower end upwards in either facet, so both agree to the last bit and no column slips between
 * them. Cost: O(facets + crossings), a few ns each; far below one ray per column.
 *
 * @param cells columns along the longer side of the part's outline
 */
export function castColumns(body: Body, box: Turned, cells: number): Columns {
  const grid = gridOver(body, box, cells);
  return { ...grid, crossings: grid.nx > 0 ? sweep(body, grid, 0, EVERY, 0) : 0 };
}

/**
 * The same, but only in columns that meet a facet whose normal along up is below `limit`; the
 * others are left empty. Supports stand nowhere else, and where little overhangs this is much
 * quicker: the rest of the surface is stepped over.
 */
export function castUnder(body: Body, box: Turned, cells: number, limit: number): Columns {
  const grid = gridOver(body, box, cells);
  if (grid.nx === 0) return { ...grid, crossings: 0 };
  const hanging = sweep(body, grid, 0, BELOW, limit);
  if (hanging === 0) return { ...grid, crossings: 0 };
  const { nx, ny } = grid;
  const s = body.scratch;
  if (s.skip.length < nx * ny) s.skip = new Int16Array(nx * ny);
  for (let cell = nx * ny - 1, next = nx, i = nx - 1; cell >= 0; cell--) {
    if ((s.head[cell] as number) >= 0) next = i;
    s.skip[cell] = next;
    if (i-- === 0) {
      i = nx - 1;
      next = nx;
    }
  }
  return { ...grid, crossings: sweep(body, grid, hanging, ABOVE, limit) };
}

type Grid = Omit<Columns, 'crossings'>;

/** Lays the grid and empties its columns. */
function gridOver(body: Body, box: Turned, cells: number): Grid {
  const wide = box.x1 - box.x0;
  const deep = box.y1 - box.y0;
  const cellMm = Math.max(wide, deep) / cells;
  if (!(cellMm > 0)) return { nx: 0, ny: 0, cellMm: 0, x0: box.x0, y0: box.y0 };
  const nx = Math.max(1, Math.ceil(wide / cellMm - 1e-9));
  const ny = Math.max(1, Math.ceil(deep / cellMm - 1e-9));
  const s = body.scratch;
  if (s.head.length < nx * ny) s.head = new Int32Array(nx * ny);
  s.head.fill(-1, 0, nx * ny);
  // Off the middle of the cells: on a symmetric part the even rows would mirror the odd ones, and
  // their difference would say nothing about the error.
  return { nx, ny, cellMm, x0: box.x0 + OFFSET * cellMm, y0: box.y0 + OFFSET * cellMm };
}

/** Which facets are swept: all; those that lean out below the limit; the others, where `skip` says. */
const EVERY = 0;
const BELOW = 1;
const ABOVE = 2;

/** Adds the crossings of the facets asked for after the first `used`; returns how many there are. */
function sweep(body: Body, grid: Grid, used: number, which: number, limit: number): number {
  const { nx, cellMm, x0: ox, y0: oy } = grid;
  const { x, y, z, lean, mesh, scratch: s } = body;
  const { head, skip } = s;
  const t = mesh.triangles;
  const per = 1 / cellMm;
  const facets = t.length / 3;
  for (let f = 0; f < facets; f++) {
    const nz = lean[f] as number;
    if (nz === 0) continue;
    if (which !== EVERY && nz < limit !== (which === BELOW)) continue;
    const a = t[3 * f] as number;
    const b = t[3 * f + 1] as number;
    const c = t[3 * f + 2] as number;
    const ya = ((y[a] as number) - oy) * per;
    const yb = ((y[b] as number) - oy) * per;
    const yc = ((y[c] as number) - oy) * per;
    const from = Math.ceil(ya < yb ? (ya < yc ? ya : yc) : yb < yc ? yb : yc);
    const to = Math.ceil(ya > yb ? (ya > yc ? ya : yc) : yb > yc ? yb : yc);
    if (from >= to) continue;
    const xa = ((x[a] as number) - ox) * per;
    const xb = ((x[b] as number) - ox) * per;
    const xc = ((x[c] as number) - ox) * per;
    // A facet between two columns is done with here.
    const least = Math.ceil(xa < xb ? (xa < xc ? xa : xc) : xb < xc ? xb : xc);
    const most = Math.ceil(xa > xb ? (xa > xc ? xa : xc) : xb > xc ? xb : xc);
    if (least >= most) continue;
    if (which === ABOVE) {
      // Nor is one wanted that no marked column meets.
      let r = from;
      while (r < to && (skip[r * nx + least] as number) >= most) r++;
      if (r === to) continue;
    }

    // Corners by height in plan: 1 lowest, 3 highest.
    let x1 = xa, y1 = ya, x2 = xb, y2 = yb, x3 = xc, y3 = yc; // prettier-ignore
    if (y1 > y2) { x1 = xb; y1 = yb; x2 = xa; y2 = ya; } // prettier-ignore
    if (y2 > y3) {
      x3 = x2;
      y3 = y2;
      x2 = xc;
      y2 = yc; // prettier-ignore
      if (y1 > y2) { const sx = x1; x1 = x2; x2 = sx; const sy = y1; y1 = y2; y2 = sy; } // prettier-ignore
    }
    const long = (x3 - x1) / (y3 - y1);
    const lower = (x2 - x1) / (y2 - y1);
    const upper = (x3 - x2) / (y3 - y2);
    const bend = Math.ceil(y2);

    const za = z[a] as number;
    const zb = z[b] as number;
    const zc = z[c] as number;
    const low = za < zb ? (za < zc ? za : zc) : zb < zc ? zb : zc;
    const high = za > zb ? (za > zc ? za : zc) : zb > zc ? zb : zc;
    const det = (xb - xa) * (yc - ya) - (xc - xa) * (yb - ya);
    const gx = ((zb - za) * (yc - ya) - (zc - za) * (yb - ya)) / det;
    const gy = ((xb - xa) * (zc - za) - (xc - xa) * (zb - za)) / det;
    for (let r = from; r < to; r++) {
      const p = x1 + long * (r - y1);
      const q = r < bend ? x1 + lower * (r - y1) : x2 + upper * (r - y2);
      const end = Math.ceil(p < q ? q : p);
      let i = Math.ceil(p < q ? p : q);
      if (i >= end) continue;
      if (used + end - i > s.next.length) grow(s, used + end - i);
      const { next, height, facet } = s;
      const row = za + gy * (r - ya);
      const base = r * nx;
      for (; i < end; i++) {
        if (which === ABOVE) {
          i = skip[base + i] as number;
          if (i >= end) break;
        }
        // Clamped: on a nearly upright facet the slope is huge and rounding could leave the facet.
        let h = row + gx * (i - xa);
        if (!(h >= low)) h = low;
        else if (h > high) h = high;
        height[used] = h;
        facet[used] = f;
        next[used] = head[base + i] as number;
        head[base + i] = used++;
      }
    }
  }
  return used;
}

function grow(s: Scratch, least: number): void {
  const size = Math.max(4096, least, 2 * s.next.length);
  const next = new Int32Array(size);
  const facet = new Int32Array(size);
  const height = new Float64Array(size);
  next.set(s.next);
  facet.set(s.facet);
  height.set(s.height);
  s.next = next;
  s.facet = facet;
  s.height = height;
}

/**
 * Crossings of one column from the lowest up, as indices in `scratch.order`; returns how many.
 * Where two lie at one height the body is entered before it is left, so a sheet without thickness
 * counts as solid.
 */
export function sortColumn(body: Body, cell: number): number {
  const s = body.scratch;
  const { lean } = body;
  let n = 0;
  for (let k = s.head[cell] as number; k >= 0; k = s.next[k] as number) {
    if (n === s.order.length) {
      const order = new Int32Array(2 * n);
      order.set(s.order);
      s.order = order;
    }
    const h = s.height[k] as number;
    const enters = (lean[s.facet[k] as number] as number) < 0;
    let i = n++;
    for (; i > 0; i--) {
      const j = s.order[i - 1] as number;
      const other = s.height[j] as number;
      if (other < h) break;
      if (other === h && (!enters || (lean[s.facet[j] as number] as number) < 0)) break;
      s.order[i] = j;
    }
    s.order[i] = k;
  }
  return n;
}
