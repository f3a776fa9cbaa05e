import { castColumns, sortColumn } from './columns.ts';
import type { Body, Turned } from './turned.ts';

/** The part as printed up to one height; turned frame, mm. */
export interface Stage {
  readonly heightMm: number;
  readonly volumeMm3: number;
  /** Centre of volume in plan, and its height above the plate. */
  readonly centre: readonly [number, number, number];
}

/**
 * The growing part at `count` evenly spaced heights, the last being the whole part. Supports are
 * not counted. Only for closed meshes. By columns, to about 0.1 % of the volume.
 */
export function growthOf(body: Body, box: Turned, count: number, cells = 96): Stage[] {
  const tall = box.z1 - box.z0;
  const levels = Array.from({ length: count }, (_, k) => (tall * (k + 1)) / count);
  const volume = new Float64Array(count);
  const mx = new Float64Array(count);
  const my = new Float64Array(count);
  const mz = new Float64Array(count);
  const columns = castColumns(body, box, cells);
  const { scratch, lean } = body;
  for (let cell = 0; cell < columns.nx * columns.ny; cell++) {
    if ((scratch.head[cell] as number) < 0) continue;
    const x = columns.x0 + (cell % columns.nx) * columns.cellMm;
    const y = columns.y0 + Math.floor(cell / columns.nx) * columns.cellMm;
    const n = sortColumn(body, cell);
    let depth = 0;
    let from = 0;
    for (let i = 0; i < n; i++) {
      const at = scratch.order[i] as number;
      const h = (scratch.height[at] as number) - box.z0;
      if ((lean[scratch.facet[at] as number] as number) < 0) {
        if (depth++ === 0) from = h;
        continue;
      }
      if (depth === 0 || --depth > 0) continue;
      // Levels the solid stretch from..h reaches into, from the lowest.
      for (let k = Math.max(0, Math.ceil((from / tall) * count) - 1); k < count; k++) {
        const top = Math.min(h, levels[k] as number);
        const length = top - from;
        if (length <= 0) continue;
        (volume[k] as number) += length;
        (mx[k] as number) += length * x;
        (my[k] as number) += length * y;
        (mz[k] as number) += (length * (top + from)) / 2;
      }
    }
  }
  const cellMm2 = columns.cellMm * columns.cellMm;
  const stages: Stage[] = [];
  levels.forEach((heightMm, k) => {
    const v = volume[k] as number;
    if (v > 0)
      stages.push({
        heightMm,
        volumeMm3: v * cellMm2,
        centre: [(mx[k] as number) / v, (my[k] as number) / v, (mz[k] as number) / v],
      });
  });
  return stages;
}
