import { radians } from '../units.ts';
import type { Vec3 } from '../math/index.ts';
import { castUnder, sortColumn, type Columns } from './columns.ts';
import { TIE_DEG, turn, type Body, type Turned } from './turned.ts';

/** Supports of one way up. */
export interface Supports {
  /** Space under overhanging facets, down to the part below or the plate, mm3. */
  readonly volumeMm3: number;
  /** Half the largest difference between halves of the columns, mm3: the sampling error seen. */
  readonly errorMm3: number;
  /** Surface that supports hold up, mm2 of the facets themselves. */
  readonly touchedMm2: number;
  /** Plan area of supports that stand on the part itself instead of the plate, mm2. */
  readonly standingOnPartMm2: number;
  /** Of both, what lies on facets of the body's clean faces, mm2. */
  readonly cleanTouchedMm2: number;
  /** Columns along the longer side that were needed. */
  readonly cells: number;
}

export interface SupportOptions {
  /** Overhang angle from vertical up to which a facet carries itself, degrees. */
  readonly selfSupportDeg: number;
  /** Columns along the longer side to begin with. Default 96. */
  readonly cells?: number;
  /** Refine up to so many columns. Default 1536. */
  readonly maxCells?: number;
  /** Relative error at which refining ends. Default 0.004. */
  readonly precision?: number;
}

/** A facet's normal along up below this value needs support. */
export const overhangLimit = (selfSupportDeg: number): number =>
  -Math.sin(radians(Math.min(90, selfSupportDeg + TIE_DEG)));

/**
 * Support volume of the part with the unit vector `up` (part coordinates) as +Z, standing on its
 * lowest point.
 *
 * Method: the columns of a grid give the share of each overhang's drop to the plate that is really
 * open below it; the drop itself is summed over the facets in closed form (projected area times
 * mean height). Where nothing stands below an overhang the result is exact, elsewhere the grid is
 * refined until enough columns have met overhangs and halves of them agree: the edge of a thin wall
 * is met by few columns of a coarse grid, and two halves of a few can agree by chance. Columns count
 * how deep they are inside the part, so shells that overlap need no supports where they run into
 * each other. On an open mesh a column is inside or outside by its last crossing only.
 */
export function evaluateSupports(body: Body, up: Vec3, options: SupportOptions): Supports {
  const box = turn(body, up);
  return supportsOfTurned(body, box, options);
}

/** The same for a body that has been turned already. */
export function supportsOfTurned(body: Body, box: Turned, options: SupportOptions): Supports {
  const limit = overhangLimit(options.selfSupportDeg);
  const whole = dropsToPlate(body, box, limit);
  if (!(whole.dropMm3 > 0))
    return {
      volumeMm3: 0,
      errorMm3: 0,
      touchedMm2: 0,
      standingOnPartMm2: 0,
      cleanTouchedMm2: 0,
      cells: 0,
    };
  const precision = options.precision ?? 0.004;
  const maxCells = options.maxCells ?? 1536;
  const floorMm3 = CRUMB * Math.pow(box.z1 - box.z0 + box.x1 - box.x0 + box.y1 - box.y0, 3);
  for (let cells = options.cells ?? 96; ;) {
    const seen = readColumns(body, castUnder(body, box, cells, limit), box.z0, limit);
    const share = openShare(seen);
    const volumeMm3 = whole.dropMm3 * share;
    const errorMm3 = whole.dropMm3 * disagreement(seen);
    const wantedMm3 = precision * volumeMm3 + floorMm3;
    const few = seen.columns < LEAST_COLUMNS && whole.dropMm3 > floorMm3;
    if ((errorMm3 <= wantedMm3 && !few) || 2 * cells > maxCells)
      return {
        volumeMm3,
        errorMm3,
        touchedMm2: Math.max(0, whole.areaMm2 - seen.hiddenMm2),
        standingOnPartMm2: seen.onPartMm2,
        cleanTouchedMm2: Math.max(0, whole.cleanMm2 + seen.cleanMm2),
        cells,
      };
    // Far from it, the next grid but one would only say so again.
    cells *= errorMm3 > 6 * wantedMm3 && 4 * cells <= maxCells ? 4 : 2;
  }
}

/** An error of less than this share of the cube over the part's three extents is none. */
const CRUMB = 1e-8;
/** Columns that must have met overhangs before their halves are believed. */
const LEAST_COLUMNS = 400;

/** Overhangs as if nothing stood below them: closed form, an upper bound of the support volume. */
export function dropsToPlate(
  body: Body,
  box: Turned,
  limit: number,
): { dropMm3: number; areaMm2: number; cleanMm2: number } {
  const { lean, z, facets, mesh, clean } = body;
  const t = mesh.triangles;
  const { areasMm2 } = facets;
  const touch = contactBand(box);
  let drop = 0;
  let area = 0;
  let cleanMm2 = 0;
  for (let f = 0; f < lean.length; f++) {
    const nz = lean[f] as number;
    if (!(nz < limit)) continue;
    const height =
      ((z[t[3 * f] as number] as number) +
        (z[t[3 * f + 1] as number] as number) +
        (z[t[3 * f + 2] as number] as number)) /
        3 -
      box.z0;
    const a = areasMm2[f] as number;
    drop -= nz * a * height;
    if (height <= touch) continue;
    area += a;
    if (clean?.[f]) cleanMm2 += a;
  }
  return { dropMm3: drop, areaMm2: area, cleanMm2 };
}

/** Facets whose middle is no higher than this lie on the plate, mm; guards against rounding only. */
const contactBand = (box: Turned): number =>
  1e-6 * (box.x1 - box.x0 + box.y1 - box.y0 + box.z1 - box.z0);

interface Seen {
  /** Open drop below overhangs; by even and odd row, in each by even and odd column. */
  readonly open: Float64Array;
  /** The same overhangs' drop to the plate. */
  readonly all: Float64Array;
  /** Columns with an overhang. */
  readonly columns: number;
  readonly hiddenMm2: number;
  readonly onPartMm2: number;
  /** Clean surface that supports stand on, less what is hidden of the clean overhangs. */
  readonly cleanMm2: number;
}

/** The quarters of the columns, halved three ways: by rows, by columns, like a chessboard. */
const HALVES = [[0, 1], [0, 2], [0, 3]] as const; // prettier-ignore
const sumOf = (values: Float64Array, quarters: readonly number[]): number =>
  quarters.reduce((sum, q) => sum + (values[q] as number), 0);

function openShare({ open, all }: Seen, quarters: readonly number[] = [0, 1, 2, 3]): number {
  const whole = sumOf(all, quarters);
  return whole > 0 ? sumOf(open, quarters) / whole : 1;
}

/** Half the largest difference between two halves' open shares. */
function disagreement(seen: Seen): number {
  let most = 0;
  for (const half of HALVES) {
    const other = [1, 2, 3].filter((q) => q !== half[1]);
    most = Math.max(most, Math.abs(openShare(seen, half) - openShare(seen, other)) / 2);
  }
  return most;
}

function readColumns(body: Body, columns: Columns, plate: number, limit: number): Seen {
  const { nx, ny, cellMm } = columns;
  const { lean, scratch, closed, clean } = body;
  const open = new Float64Array(4);
  const all = new Float64Array(4);
  let met = 0;
  let hidden = 0;
  let onPart = 0;
  let cleanSeen = 0;
  for (let row = 0; row < ny; row++) {
    for (let i = 0; i < nx; i++) {
      const cell = row * nx + i;
      if ((scratch.head[cell] as number) < 0) continue;
      met++;
      const n = sortColumn(body, cell);
      let openHere = 0;
      let allHere = 0;
      let depth = 0;
      let floor = plate;
      let floorFacet = -1;
      for (let k = 0; k < n; k++) {
        const at = scratch.order[k] as number;
        const h = scratch.height[at] as number;
        const facet = scratch.facet[at] as number;
        const nz = lean[facet] as number;
        if (nz < 0) {
          if (nz < limit) {
            allHere += h - plate;
            if (depth === 0) {
              openHere += h - floor;
              if (floorFacet >= 0) {
                onPart++;
                if (clean?.[floorFacet]) cleanSeen++;
              }
            } else {
              hidden -= 1 / nz;
              if (clean?.[facet]) cleanSeen += 1 / nz;
            }
          }
          depth = closed ? depth + 1 : 1;
        } else {
          depth = closed && depth > 0 ? depth - 1 : 0;
          if (depth === 0) {
            floor = h;
            floorFacet = facet;
          }
        }
      }
      const quarter = 2 * (row & 1) + (i & 1);
      open[quarter] = (open[quarter] as number) + openHere;
      all[quarter] = (all[quarter] as number) + allHere;
    }
  }
  const cell = cellMm * cellMm;
  return {
    open,
    all,
    columns: met,
    hiddenMm2: hidden * cell,
    onPartMm2: onPart * cell,
    cleanMm2: cleanSeen * cell,
  };
}
