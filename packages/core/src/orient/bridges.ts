import { castColumns, sortColumn, type Columns } from './columns.ts';
import { overhangLimit } from './supports.ts';
import type { Body, Turned } from './turned.ts';

/** Overhangs narrow enough, and held at both ends, to be printed in the air. */
export interface Bridges {
  /** Share of the overhangs' support volume that bridges spare, 0..1. */
  readonly sparedShare: number;
  /** Plan area that is bridged, mm2. */
  readonly areaMm2: number;
  /** Longest of the bridges, mm; 0 without any. */
  readonly longestMm: number;
}

export interface BridgeOptions {
  readonly selfSupportDeg: number;
  readonly bridgeMm: number;
  /** Columns along the longer side at most. Default 384. */
  readonly maxCells?: number;
}

/** Ways along which a bridge may run: rows, ranks and the two diagonals of the grid. */
const RUNS = [[1, 0], [0, 1], [1, 1], [1, -1]] as const; // prettier-ignore

/**
 * Overhangs no wider than `bridgeMm` along some line, with solid part at both ends of that line.
 *
 * Method: open overhang crossings of a grid of columns are chained along four ways; a chain counts
 * as a bridge when it is short enough and the columns just beyond both its ends are solid at the
 * chain's own height. Lengths are good to a cell; the cell is a sixth of `bridgeMm`, or what
 * `maxCells` allows. A grid too coarse to see such a bridge finds none: the supports stay counted.
 */
export function bridgesOf(body: Body, box: Turned, options: BridgeOptions): Bridges {
  const none = { sparedShare: 0, areaMm2: 0, longestMm: 0 };
  const { bridgeMm } = options;
  if (!(bridgeMm > 0)) return none;
  const { columns, roofs, spared, longestMm } = roofsOf(body, box, options);
  if (!spared) return none;
  let all = 0;
  let open = 0;
  let cells = 0;
  for (let k = 0; k < spared.length; k++) {
    if (roofs.roof[k] !== 1) continue;
    all += roofs.drop[k] as number;
    if (!spared[k]) continue;
    cells++;
    open += roofs.drop[k] as number;
  }
  return {
    sparedShare: all > 0 ? open / all : 0,
    areaMm2: cells * columns.cellMm * columns.cellMm,
    longestMm: Math.min(longestMm, bridgeMm),
  };
}

/** Overhangs over a grid of columns, and which of them are printed in the air. */
export interface GridOfRoofs {
  readonly columns: Columns;
  readonly roofs: Roofs;
  /** Per roof 1 where a bridge carries it; null where the grid is too coarse to tell, or none may. */
  readonly spared: Uint8Array | null;
  readonly longestMm: number;
}

/** The columns behind `bridgesOf`, for those who want to see where supports stand. */
export function roofsOf(body: Body, box: Turned, options: BridgeOptions): GridOfRoofs {
  const { bridgeMm } = options;
  const size = Math.max(box.x1 - box.x0, box.y1 - box.y0);
  const wanted = bridgeMm > 0 ? Math.max(48, Math.ceil((6 * size) / bridgeMm)) : 96;
  const columns = castColumns(body, box, Math.min(options.maxCells ?? 384, wanted));
  const { nx, ny, cellMm } = columns;
  const roofs = readRoofs(body, box, nx * ny, columns.crossings, options);
  if (!(bridgeMm > 0) || !(cellMm > 0) || cellMm > bridgeMm / 2)
    return { columns, roofs, spared: null, longestMm: 0 };
  const { first, height, solidTo, roof } = roofs;

  const isOpenRoof = (k: number): boolean => (roof[k] as number) === 1;
  // The roof crossing in `cell` that carries on from height h, or -1.
  const follow = (cell: number, h: number, step: number): number => {
    let best = -1;
    let near = step * 1.01;
    for (let k = first[cell] as number; k < (first[cell + 1] as number); k++) {
      const d = Math.abs((height[k] as number) - h);
      if (isOpenRoof(k) && d < near) {
        near = d;
        best = k;
      }
    }
    return best;
  };
  const isSolid = (cell: number, h: number): boolean => {
    for (let k = first[cell] as number; k < (first[cell + 1] as number); k++)
      if ((height[k] as number) < h && h < (solidTo[k] as number)) return true;
    return false;
  };

  const spared = new Uint8Array(height.length);
  let longestMm = 0;
  for (const [dx, dy] of RUNS) {
    const step = cellMm * Math.hypot(dx, dy);
    const most = bridgeMm / step + 0.5;
    const done = new Uint8Array(height.length);
    const walk = (cell: number, k: number, sx: number, sy: number): Walk => {
      const passed: number[] = [];
      for (let at = cell, h = height[k] as number; ;) {
        const x = (at % nx) + sx;
        const y = Math.floor(at / nx) + sy;
        if (x < 0 || y < 0 || x >= nx || y >= ny) return { passed, held: false };
        at = y * nx + x;
        const onward = follow(at, h, step);
        // A hair above the end's own height: a wall that begins just there holds it.
        if (onward < 0) return { passed, held: isSolid(at, h + 0.05 * step) };
        passed.push(onward);
        h = height[onward] as number;
        if (passed.length > most) return { passed, held: false };
      }
    };
    for (let cell = 0; cell < nx * ny; cell++)
      for (let k = first[cell] as number; k < (first[cell + 1] as number); k++) {
        if (!isOpenRoof(k) || done[k]) continue;
        const on = walk(cell, k, dx, dy);
        const back = walk(cell, k, -dx, -dy);
        const chain = [k, ...on.passed, ...back.passed];
        for (const i of chain) done[i] = 1;
        if (!on.held || !back.held || chain.length > most) continue;
        for (const i of chain) spared[i] = 1;
        longestMm = Math.max(longestMm, chain.length * step);
      }
  }

  return { columns, roofs, spared, longestMm };
}

interface Walk {
  readonly passed: readonly number[];
  readonly held: boolean;
}

/** Where columns enter the part, in order of column and height. */
export interface Roofs {
  /** Entry of each column's first crossing; one more at the end. */
  readonly first: Int32Array;
  readonly height: Float64Array;
  /** Where the solid entered there ends. */
  readonly solidTo: Float64Array;
  /** 1 where the facet entered is an overhang with air below. */
  readonly roof: Uint8Array;
  /** Height of the air below, mm. */
  readonly drop: Float64Array;
}

function readRoofs(
  body: Body,
  box: Turned,
  cells: number,
  crossings: number,
  { selfSupportDeg }: BridgeOptions,
): Roofs {
  const limit = overhangLimit(selfSupportDeg);
  const { scratch, lean, closed } = body;
  const first = new Int32Array(cells + 1);
  const height = new Float64Array(crossings);
  const solidTo = new Float64Array(crossings);
  const roof = new Uint8Array(crossings);
  const drop = new Float64Array(crossings);
  const contact = 1e-6 * (box.z1 - box.z0);
  let used = 0;
  for (let cell = 0; cell < cells; cell++) {
    first[cell] = used;
    const n = sortColumn(body, cell);
    let depth = 0;
    let floor = box.z0;
    for (let i = 0; i < n; i++) {
      const at = scratch.order[i] as number;
      const h = scratch.height[at] as number;
      const nz = lean[scratch.facet[at] as number] as number;
      if (nz < 0) {
        if (depth === 0) {
          height[used] = h;
          solidTo[used] = Infinity;
          drop[used] = h - floor;
          roof[used] = nz < limit && h - floor > contact ? 1 : 0;
          used++;
        }
        depth = closed ? depth + 1 : 1;
      } else {
        const was = depth;
        depth = closed && depth > 0 ? depth - 1 : 0;
        if (depth === 0) {
          floor = h;
          if (was > 0) solidTo[used - 1] = h;
        }
      }
    }
  }
  first[cells] = used;
  return {
    first,
    height: height.subarray(0, used),
    solidTo: solidTo.subarray(0, used),
    roof: roof.subarray(0, used),
    drop: drop.subarray(0, used),
  };
}
