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
  /**
   * Widths of either side along `widthAxes`: [k * axes + axis], mm. Of an open mesh the point where
   * a section ends at its border may be left out.
   */
  readonly belowMm: Float64Array;
  readonly aboveMm: Float64Array;
}

/** A body made ready for sweeps along many directions. */
export interface Swept {
  readonly body: Body;
  /** Vertices of the skin. */
  readonly used: Uint8Array;
  readonly axes: number;
  /** Places of the vertices along the width axes: [vertex * axes + axis]. */
  readonly along: Float64Array;
  /** Whether a facet faces the viewer; null when nobody looks. */
  readonly facing: Uint8Array | null;
}

/**
 * @param widthAxes unit directions along which both sides are measured
 * @param seenFrom unit vector from the part to the viewer, or null
 */
export function readySweep(body: Body, widthAxes: readonly Vec3[], seenFrom: Vec3 | null): Swept {
  const { positions: p, triangles: t, skin } = body;
  const used = new Uint8Array(p.length / 3);
  for (let c = 0; c < t.length; c++) if (skin[Math.floor(c / 3)]) used[t[c] as number] = 1;
  const axes = widthAxes.length;
  const along = new Float64Array(used.length * axes);
  widthAxes.forEach(([x, y, z], i) => {
    for (let j = 0, o = i; j < p.length; j += 3, o += axes)
      along[o] = (p[j] as number) * x + (p[j + 1] as number) * y + (p[j + 2] as number) * z;
  });
  const facing = seenFrom && Uint8Array.from(skin, (_, f) => facesViewer(p, t, 3 * f, seenFrom));
  return { body, used, axes, along, facing };
}

function facesViewer(p: Float64Array, t: Uint32Array, f: number, eye: Vec3): number {
  const i = 3 * (t[f] as number), j = 3 * (t[f + 1] as number), l = 3 * (t[f + 2] as number); // prettier-ignore
  const ux = (p[j] as number) - (p[i] as number), uy = (p[j + 1] as number) - (p[i + 1] as number), uz = (p[j + 2] as number) - (p[i + 2] as number); // prettier-ignore
  const vx = (p[l] as number) - (p[i] as number), vy = (p[l + 1] as number) - (p[i + 1] as number), vz = (p[l + 2] as number) - (p[i + 2] as number); // prettier-ignore
  const inSight = (uy * vz - uz * vy) * eye[0] + (uz * vx - ux * vz) * eye[1] + (ux * vy - uy * vx) * eye[2]; // prettier-ignore
  return inSight > 0 ? 1 : 0;
}

/**
 * One pass, O(vertices x axes + facets + crossings x axes): facets add to the offsets they span,
 * sides' widths are running extremes over the vertices in order of their offset, the section's own
 * points added at each.
 *
 * @param steps number of offsets, evenly inside the body's extent (its ends left out)
 */
export function sweepBody(swept: Swept, normal: Vec3, steps: number): Sweep {
  const { body, used, axes, along, facing } = swept;
  const { positions: p, triangles, skin } = body;
  const h = heightsAlong(p, normal);
  let low = Infinity;
  let high = -Infinity;
  for (let v = 0; v < h.length; v++) {
    if (!used[v]) continue;
    if ((h[v] as number) < low) low = h[v] as number;
    if ((h[v] as number) > high) high = h[v] as number;
  }
  const pitch = (high - low) / (steps + 1);
  const offsets = Float64Array.from({ length: steps }, (_, k) => low + pitch * (k + 1));
  const lengths = new Float64Array(steps);
  const seen = new Float64Array(steps);
  const area = new Float64Array(steps);
  const belowMin = new Float64Array(steps * axes).fill(Infinity);
  const belowMax = new Float64Array(steps * axes).fill(-Infinity);
  const aboveMin = new Float64Array(steps * axes).fill(Infinity);
  const aboveMax = new Float64Array(steps * axes).fill(-Infinity);
  const cutMin = new Float64Array(steps * axes).fill(Infinity);
  const cutMax = new Float64Array(steps * axes).fill(-Infinity);

  // Per vertex the first step whose offset is at or over it: from there on it counts as below.
  const step = new Int32Array(h.length);
  for (let v = 0; v < h.length; v++) step[v] = stepAt(h[v] as number, low, pitch, offsets);
  for (let v = 0; v < h.length; v++) {
    if (!used[v]) continue;
    const k = step[v] as number;
    if (k < steps) widen(belowMin, belowMax, k * axes, along, v * axes, axes);
    if (k > 0) widen(aboveMin, aboveMax, (k - 1) * axes, along, v * axes, axes);
  }
  for (let i = axes; i < steps * axes; i++) {
    if ((belowMin[i - axes] as number) < (belowMin[i] as number)) belowMin[i] = belowMin[i - axes] as number; // prettier-ignore
    if ((belowMax[i - axes] as number) > (belowMax[i] as number)) belowMax[i] = belowMax[i - axes] as number; // prettier-ignore
  }
  for (let i = (steps - 1) * axes - 1; i >= 0; i--) {
    if ((aboveMin[i + axes] as number) < (aboveMin[i] as number)) aboveMin[i] = aboveMin[i + axes] as number; // prettier-ignore
    if ((aboveMax[i + axes] as number) > (aboveMax[i] as number)) aboveMax[i] = aboveMax[i + axes] as number; // prettier-ignore
  }

  const [nx, ny, nz] = normal;
  const ox = p[0] as number, oy = p[1] as number, oz = p[2] as number; // prettier-ignore
  for (let t = 0; t < skin.length; t++) {
    const i = triangles[3 * t] as number;
    const j = triangles[3 * t + 1] as number;
    const l = triangles[3 * t + 2] as number;
    const ki = step[i] as number, kj = step[j] as number, kl = step[l] as number; // prettier-ignore
    const first = ki < kj ? (ki < kl ? ki : kl) : kj < kl ? kj : kl;
    const last = ki > kj ? (ki > kl ? ki : kl) : kj > kl ? kj : kl;
    for (let k = first; k < last; k++) {
      const at = offsets[k] as number;
      const ui = ki > k;
      const uj = kj > k;
      const ul = kl > k;
      // Vertex A stands alone; the section runs A-B to A-C with material on its left, or back.
      const A = uj === ul ? i : ui === ul ? j : l;
      const B = A === i ? j : A === j ? l : i;
      const C = A === i ? l : A === j ? i : j;
      const hA = h[A] as number;
      const s = (at - hA) / ((h[B] as number) - hA);
      const r = (at - hA) / ((h[C] as number) - hA);
      const a = 3 * A, b = 3 * B, c = 3 * C; // prettier-ignore
      const qx = (p[a] as number) + s * ((p[b] as number) - (p[a] as number));
      const qy = (p[a + 1] as number) + s * ((p[b + 1] as number) - (p[a + 1] as number));
      const qz = (p[a + 2] as number) + s * ((p[b + 2] as number) - (p[a + 2] as number));
      const rx = (p[a] as number) + r * ((p[c] as number) - (p[a] as number));
      const ry = (p[a + 1] as number) + r * ((p[c + 1] as number) - (p[a + 1] as number));
      const rz = (p[a + 2] as number) + r * ((p[c + 2] as number) - (p[a + 2] as number));
      const cx = (qy - oy) * (rz - oz) - (qz - oz) * (ry - oy);
      const cy = (qz - oz) * (rx - ox) - (qx - ox) * (rz - oz);
      const cz = (qx - ox) * (ry - oy) - (qy - oy) * (rx - ox);
      const twice = cx * nx + cy * ny + cz * nz;
      const up = hA > at;
      area[k] = (area[k] as number) + (up ? twice : -twice) / 2;
      // Where one facet's way ends, the next one's begins: its start will do for the widths.
      const share = up ? s : r;
      const other = (up ? B : C) * axes;
      for (let x = 0, o = k * axes, m = A * axes, n = other; x < axes; x++, o++, m++, n++) {
        const w = (along[m] as number) + share * ((along[n] as number) - (along[m] as number));
        if (w < (cutMin[o] as number)) cutMin[o] = w;
        if (w > (cutMax[o] as number)) cutMax[o] = w;
      }
      if (!skin[t]) continue;
      const length = Math.sqrt((rx - qx) ** 2 + (ry - qy) ** 2 + (rz - qz) ** 2);
      lengths[k] = (lengths[k] as number) + length;
      if (facing?.[t]) seen[k] = (seen[k] as number) + length;
    }
  }
  for (let i = 0; i < cutMax.length; i++) {
    const least = cutMin[i] as number;
    const most = cutMax[i] as number;
    belowMax[i] = Math.max(0, Math.max(belowMax[i] as number, most) - Math.min(belowMin[i] as number, least)); // prettier-ignore
    aboveMax[i] = Math.max(0, Math.max(aboveMax[i] as number, most) - Math.min(aboveMin[i] as number, least)); // prettier-ignore
  }
  return {
    normal,
    lowMm: low,
    highMm: high,
    offsetsMm: offsets,
    lengthMm: lengths,
    seenMm: facing ? seen : lengths,
    areaMm2: area,
    belowMm: belowMax,
    aboveMm: aboveMax,
  };
}

function stepAt(height: number, low: number, pitch: number, offsets: Float64Array): number {
  let k = pitch > 0 ? Math.ceil((height - low) / pitch) - 1 : 0;
  if (k < 0) k = 0;
  if (k > offsets.length) k = offsets.length;
  while (k > 0 && (offsets[k - 1] as number) >= height) k--;
  while (k < offsets.length && (offsets[k] as number) < height) k++;
  return k;
}

function widen(
  min: Float64Array,
  max: Float64Array,
  to: number,
  along: Float64Array,
  from: number,
  axes: number,
): void {
  for (let i = 0, o = to, j = from; i < axes; i++, o++, j++) {
    const w = along[j] as number;
    if (w < (min[o] as number)) min[o] = w;
    if (w > (max[o] as number)) max[o] = w;
  }
}
