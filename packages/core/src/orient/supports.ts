import { radians } from '../units.ts';
import type { Vec3 } from '../math/index.ts';
import { castColumns, sortColumn, type Columns } from './columns.ts';
import { TIE_DEG, turn, type Body, type Turned } from './turned.ts';

/** Supports of one way up. */
export interface Supports {
  /** Space under overhanging facets, down to the part below or the plate, mm3. */
  readonly volumeMm3: number;
  /** Half the difference between the even and the odd rows of columns, mm3: the sampling error seen. */
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
  /** Refine up to so many columns. Default 768. */
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
 * refined until its even and odd rows agree. Columns count how deep they are inside the part, so
 * shells that overlap need no supports where they run into each other. On an open mesh a column is
 * inside or outside by its last crossing only.
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
  const maxCells = options.maxCells ?? 768;
  const floorMm3 = 1e-6 * Math.pow(box.z1 - box.z0 + box.x1 - box.x0 + box.y1 - box.y0, 3);
  for (let cells = options.cells ?? 96; ; cells *= 2) {
    const columns = castColumns(body, box, cells);
    const seen = readColumns(body, box, columns, limit);
    const share = (open: number, all: number): number => (all > 0 ? open / all : 1);
    const volumeMm3 = whole.dropMm3 * share(seen.open[0] + seen.open[1], seen.all[0] + seen.all[1]);
    const even = share(seen.open[0], seen.all[0]);
    const odd = share(seen.open[1], seen.all[1]);
    const errorMm3 = (Math.abs(even - odd) / 2) * whole.dropMm3;
    if (errorMm3 <= precision * volumeMm3 + floorMm3 || 2 * cells > maxCells)
      return {
        volumeMm3,
        errorMm3,
        touchedMm2: Math.max(0, whole.areaMm2 - seen.hiddenMm2),
        standingOnPartMm2: seen.onPartMm2,
        cleanTouchedMm2: Math.max(0, whole.cleanMm2 + seen.cleanMm2),
        cells,
      };
  }
}

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
  /** Open drop below overhangs, per even and odd row. */
  readonly open: [number, number];
  /** The same overhangs' drop to the plate. */
  readonly all: [number, number];
  readonly hiddenMm2: number;
  readonly onPartMm2: number;
  /** Clean surface that supports stand on, less what is hidden of the clean overhangs. */
  readonly cleanMm2: number;
}

function readColumns(body: Body, box: Turned, columns: Columns, limit: number): Seen {
  const { nx, ny, cellMm } = columns;
  const { lean, scratch, closed, clean } = body;
  const open: [number, number] = [0, 0];
  const all: [number, number] = [0, 0];
  let hidden = 0;
  let onPart = 0;
  let cleanSeen = 0;
  for (let row = 0; row < ny; row++) {
    let rowOpen = 0;
    let rowAll = 0;
    for (let i = 0; i < nx; i++) {
      const cell = row * nx + i;
      if ((scratch.head[cell] as number) < 0) continue;
      const n = sortColumn(body, cell);
      let depth = 0;
      let floor = box.z0;
      let floorFacet = -1;
      for (let k = 0; k < n; k++) {
        const at = scratch.order[k] as number;
        const h = scratch.height[at] as number;
        const facet = scratch.facet[at] as number;
        const nz = lean[facet] as number;
        if (nz < 0) {
          if (nz < limit) {
            rowAll += h - box.z0;
            if (depth === 0) {
              rowOpen += h - floor;
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
    }
    open[row & 1] = (open[row & 1] as number) + rowOpen;
    all[row & 1] = (all[row & 1] as number) + rowAll;
  }
  const cell = cellMm * cellMm;
  return {
    open,
    all,
    hiddenMm2: hidden * cell,
    onPartMm2: onPart * cell,
    cleanMm2: cleanSeen * cell,
  };
}
