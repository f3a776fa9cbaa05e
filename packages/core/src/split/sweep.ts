import type { Vec3 } from '../math/index.ts';
import { heightsAlong, type Body } from './body.ts';

/**
 * What a plane square to `normal` would do to a body, at evenly spaced offsets, from one pass over
 * its facets. Index k is the offset `offsetsMm[k]`; all figures are exact at their offset.
 */
export interface Sweep {
  readonly normal: Vec3;
  readonly lowMm: number;
  readonly highMm: number;
  readonly offsetsMm: Float64Array;
  /** Outline on the skin, mm. */
  readonly lengthMm: Float64Array;
  /** Of that, on facets that face the side that is seen. */
  readonly seenMm: Float64Array;
  /** Area of the section, mm2 (of a closed chain). */
  readonly areaMm2: Float64Array;
  /** Widths of either side along `widthAxes`: [k * axes + axis], mm. */
  readonly belowMm: Float64Array;
  readonly aboveMm: Float64Array;
}

/**
 * One pass, O(vertices x axes + facets + crossings): facets add to the offsets they span, sides'
 * widths are running extremes over the vertices in order of their offset, the section's own
 * points added at each.
 *
 * @param steps number of offsets, evenly inside the body's extent (its ends left out)
 * @param widthAxes unit directions along which both sides are measured
 * @param seenFrom unit vector from the part to the viewer, or null
 */
export function sweepBody(
  body: Body,
  normal: Vec3,
  steps: number,
  widthAxes: readonly Vec3[],
  seenFrom: Vec3 | null,
): Sweep {
  const p = body.positions;
  const h = heightsAlong(p, normal);
  const used = new Uint8Array(h.length);
  let low = Infinity;
  let high = -Infinity;
  for (let t = 0; t < body.skin.length; t++)
    if (body.skin[t])
      for (let c = 0; c < 3; c++) {
        const i = body.triangles[3 * t + c] as number;
        used[i] = 1;
        if ((h[i] as number) < low) low = h[i] as number;
        if ((h[i] as number) > high) high = h[i] as number;
      }
  const pitch = (high - low) / (steps + 1);
  const offsets = Float64Array.from({ length: steps }, (_, k) => low + pitch * (k + 1));
  const lengths = new Float64Array(steps);
  const seen = new Float64Array(steps);
  const area = new Float64Array(steps);
  const axes = widthAxes.length;
  const a = new Float64Array(3 * axes);
  widthAxes.forEach((axis, i) => a.set(axis, 3 * i));
  const belowMin = new Float64Array(steps * axes).fill(Infinity);
  const belowMax = new Float64Array(steps * axes).fill(-Infinity);
  const aboveMin = new Float64Array(steps * axes).fill(Infinity);
  const aboveMax = new Float64Array(steps * axes).fill(-Infinity);
  const cutMin = new Float64Array(steps * axes).fill(Infinity);
  const cutMax = new Float64Array(steps * axes).fill(-Infinity);

  // First step whose offset is at or over a height: such a vertex counts as below from there on.
  const stepAt = (height: number): number => {
    let k = pitch > 0 ? Math.ceil((height - low) / pitch) - 1 : 0;
    if (k < 0) k = 0;
    while (k > 0 && (offsets[k - 1] as number) >= height) k--;
    while (k < steps && (offsets[k] as number) < height) k++;
    return k;
  };
  const widen = (min: Float64Array, max: Float64Array, k: number, x: number, y: number, z: number): void => {
    for (let i = 0, j = 0, o = k * axes; i < axes; i++, j += 3, o++) {
      const w = x * (a[j] as number) + y * (a[j + 1] as number) + z * (a[j + 2] as number);
      if (w < (min[o] as number)) min[o] = w;
      if (w > (max[o] as number)) max[o] = w;
    }
  }; // prettier-ignore

  for (let i = 0; i < h.length; i++) {
    if (!used[i]) continue;
    const k = stepAt(h[i] as number);
    const x = p[3 * i] as number, y = p[3 * i + 1] as number, z = p[3 * i + 2] as number; // prettier-ignore
    if (k < steps) widen(belowMin, belowMax, k, x, y, z);
    if (k > 0) widen(aboveMin, aboveMax, k - 1, x, y, z);
  }
  const pile = (into: Float64Array, from: number, to: number, most: boolean): void => {
    for (let i = 0; i < axes; i++) {
      const before = into[from * axes + i] as number;
      const o = to * axes + i;
      if (most ? before > (into[o] as number) : before < (into[o] as number)) into[o] = before;
    }
  };
  for (let k = 1; k < steps; k++) {
    pile(belowMin, k - 1, k, false);
    pile(belowMax, k - 1, k, true);
  }
  for (let k = steps - 2; k >= 0; k--) {
    pile(aboveMin, k + 1, k, false);
    pile(aboveMax, k + 1, k, true);
  }

  const [nx, ny, nz] = normal;
  for (let t = 0; t < body.skin.length; t++) {
    const i = 3 * (body.triangles[3 * t] as number);
    const j = 3 * (body.triangles[3 * t + 1] as number);
    const l = 3 * (body.triangles[3 * t + 2] as number);
    const hi = h[i / 3] as number;
    const hj = h[j / 3] as number;
    const hl = h[l / 3] as number;
    const first = stepAt(Math.min(hi, hj, hl));
    const last = stepAt(Math.max(hi, hj, hl));
    if (first >= last) continue;
    const skin = body.skin[t] === 1;
    let inSight = false;
    if (skin && seenFrom) {
      const ux = (p[j] as number) - (p[i] as number), uy = (p[j + 1] as number) - (p[i + 1] as number), uz = (p[j + 2] as number) - (p[i + 2] as number); // prettier-ignore
      const vx = (p[l] as number) - (p[i] as number), vy = (p[l + 1] as number) - (p[i + 1] as number), vz = (p[l + 2] as number) - (p[i + 2] as number); // prettier-ignore
      inSight =
        (uy * vz - uz * vy) * seenFrom[0] +
          (uz * vx - ux * vz) * seenFrom[1] +
          (ux * vy - uy * vx) * seenFrom[2] >
        0;
    }
    for (let k = first; k < last; k++) {
      const at = offsets[k] as number;
      const ui = hi > at;
      const uj = hj > at;
      const ul = hl > at;
      // Vertex A stands alone; the section runs A-B to A-C with material on its left, or back.
      const A = uj === ul ? i : ui === ul ? j : l;
      const B = A === i ? j : A === j ? l : i;
      const C = A === i ? l : A === j ? i : j;
      const hA = h[A / 3] as number;
      const s = (at - hA) / ((h[B / 3] as number) - hA);
      const r = (at - hA) / ((h[C / 3] as number) - hA);
      const qx = (p[A] as number) + s * ((p[B] as number) - (p[A] as number));
      const qy = (p[A + 1] as number) + s * ((p[B + 1] as number) - (p[A + 1] as number));
      const qz = (p[A + 2] as number) + s * ((p[B + 2] as number) - (p[A + 2] as number));
      const rx = (p[A] as number) + r * ((p[C] as number) - (p[A] as number));
      const ry = (p[A + 1] as number) + r * ((p[C + 1] as number) - (p[A + 1] as number));
      const rz = (p[A + 2] as number) + r * ((p[C + 2] as number) - (p[A + 2] as number));
      const ox = p[0] as number, oy = p[1] as number, oz = p[2] as number; // prettier-ignore
      const cx = (qy - oy) * (rz - oz) - (qz - oz) * (ry - oy);
      const cy = (qz - oz) * (rx - ox) - (qx - ox) * (rz - oz);
      const cz = (qx - ox) * (ry - oy) - (qy - oy) * (rx - ox);
      const twice = cx * nx + cy * ny + cz * nz;
      area[k] = (area[k] as number) + (hA > at ? twice : -twice) / 2;
      if (!skin) continue;
      const length = Math.sqrt((rx - qx) ** 2 + (ry - qy) ** 2 + (rz - qz) ** 2);
      lengths[k] = (lengths[k] as number) + length;
      if (inSight) seen[k] = (seen[k] as number) + length;
      widen(cutMin, cutMax, k, qx, qy, qz);
      widen(cutMin, cutMax, k, rx, ry, rz);
    }
  }
  for (let i = 0; i < cutMax.length; i++) {
    const low = cutMin[i] as number;
    const high = cutMax[i] as number;
    belowMax[i] = Math.max(0, Math.max(belowMax[i] as number, high) - Math.min(belowMin[i] as number, low)); // prettier-ignore
    aboveMax[i] = Math.max(0, Math.max(aboveMax[i] as number, high) - Math.min(aboveMin[i] as number, low)); // prettier-ignore
  }
  return {
    normal,
    lowMm: low,
    highMm: high,
    offsetsMm: offsets,
    lengthMm: lengths,
    seenMm: seenFrom ? seen : lengths,
    areaMm2: area,
    belowMm: belowMax,
    aboveMm: aboveMax,
  };
}
