import { unit, type Vec3 } from '../math/index.ts';
import type { Mesh } from '../mesh/index.ts';
import { tonePng } from './png.ts';
import { project, type View } from './view.ts';

/** A wash of a few tones under the lines of a view. */
export interface Wash {
  readonly png: Uint8Array;
  readonly widthPx: number;
  readonly heightPx: number;
  /** Lower left corner on the paper of the view, mm at 1:1. */
  readonly xMm: number;
  readonly yMm: number;
  readonly widthMm: number;
  readonly heightMm: number;
}

/** Light from the upper left of the eye, in paper coordinates, as drawing offices shade. */
const LIGHT: Vec3 = unit([-0.45, 0.7, 0.55]) as Vec3;
/** Opacity per tone, lightest first; tone 0 is no body. */
const OPACITY = [0, 8, 26, 46, 68, 92, 118] as const;

/** Tones of marked facets follow those of plain ones. */
const MARKED = OPACITY.length - 1;
const PALETTE = [
  ...OPACITY.map((alpha) => [0, 0, 0, alpha] as const),
  ...OPACITY.slice(1).map((alpha) => [206, 118, 0, 110 + alpha] as const),
];

/**
 * Shades what the eye sees nearest, flat per facet, in six tones of transparent black.
 * @param pxPerMm resolution at 1:1
 * @param marked per facet 1 to shade it in amber instead, as where supports will touch
 */
export function washOf(mesh: Mesh, view: View, pxPerMm: number, marked?: Uint8Array): Wash {
  const p = project(mesh.positions, view);
  const t = mesh.triangles;
  let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity; // prettier-ignore
  for (let i = 0; i < p.length; i += 3) {
    x0 = Math.min(x0, p[i] as number);
    x1 = Math.max(x1, p[i] as number);
    y0 = Math.min(y0, p[i + 1] as number);
    y1 = Math.max(y1, p[i + 1] as number);
  }
  if (!(x1 >= x0)) [x0, y0, x1, y1] = [0, 0, 0, 0];
  const widthPx = Math.max(1, Math.ceil((x1 - x0) * pxPerMm));
  const heightPx = Math.max(1, Math.ceil((y1 - y0) * pxPerMm));
  const height = new Float64Array(widthPx * heightPx).fill(-Infinity);
  const tones = new Uint8Array(widthPx * heightPx);
  for (let f = 0; f < t.length; f += 3) {
    const a = 3 * (t[f] as number);
    const b = 3 * (t[f + 1] as number);
    const c = 3 * (t[f + 2] as number);
    const ax = ((p[a] as number) - x0) * pxPerMm, ay = ((p[a + 1] as number) - y0) * pxPerMm, az = p[a + 2] as number; // prettier-ignore
    const bx = ((p[b] as number) - x0) * pxPerMm, by = ((p[b + 1] as number) - y0) * pxPerMm, bz = p[b + 2] as number; // prettier-ignore
    const cx = ((p[c] as number) - x0) * pxPerMm, cy = ((p[c + 1] as number) - y0) * pxPerMm, cz = p[c + 2] as number; // prettier-ignore
    const area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
    if (area === 0) continue;
    const i0 = Math.max(0, Math.ceil(Math.min(ax, bx, cx) - 0.5));
    const i1 = Math.min(widthPx - 1, Math.floor(Math.max(ax, bx, cx) - 0.5));
    const j0 = Math.max(0, Math.ceil(Math.min(ay, by, cy) - 0.5));
    const j1 = Math.min(heightPx - 1, Math.floor(Math.max(ay, by, cy) - 0.5));
    if (i0 > i1 || j0 > j1) continue;
    const tone = toneOf(bx - ax, by - ay, (bz - az) * pxPerMm, cx - ax, cy - ay, (cz - az) * pxPerMm); // prettier-ignore
    for (let j = j0; j <= j1; j++) {
      const y = j + 0.5 - ay;
      for (let i = i0; i <= i1; i++) {
        const x = i + 0.5 - ax;
        const u = (x * (cy - ay) - y * (cx - ax)) / area;
        const v = ((bx - ax) * y - (by - ay) * x) / area;
        if (u < 0 || v < 0 || u + v > 1) continue;
        const z = az + u * (bz - az) + v * (cz - az);
        const at = (heightPx - 1 - j) * widthPx + i;
        if (z > (height[at] as number)) {
          height[at] = z;
          tones[at] = marked?.[f / 3] ? tone + MARKED : tone;
        }
      }
    }
  }
  return {
    png: tonePng(tones, widthPx, heightPx, PALETTE),
    widthPx,
    heightPx,
    xMm: x0,
    yMm: y0,
    widthMm: widthPx / pxPerMm,
    heightMm: heightPx / pxPerMm,
  };
}

/** 1 (lit) .. 6 (turned away) from two sides of a facet; either face of the facet is shaded alike. */
function toneOf(ux: number, uy: number, uz: number, vx: number, vy: number, vz: number): number {
  let x = uy * vz - uz * vy;
  let y = uz * vx - ux * vz;
  let z = ux * vy - uy * vx;
  const l = Math.sqrt(x * x + y * y + z * z) * (z < 0 ? -1 : 1) || 1;
  x /= l;
  y /= l;
  z /= l;
  const lit = x * LIGHT[0] + y * LIGHT[1] + z * LIGHT[2];
  const steps = OPACITY.length - 1;
  return 1 + Math.min(steps - 1, Math.max(0, Math.floor(((1 - lit) / 1.75) * steps)));
}
