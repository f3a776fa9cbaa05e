import { CompensatedSum } from '../math/index.ts';

/** A connected piece of a section: one outline (counter-clockwise) and its holes (clockwise). */
export interface Region {
  readonly outline: Float64Array;
  readonly holes: readonly Float64Array[];
}

/** Figures of a plane figure bounded by loops. Axes: through the centroid, parallel to x and y. */
export interface RegionFigures {
  readonly areaMm2: number;
  readonly centroidMm: readonly [number, number];
  /** Outlines and holes together, mm. */
  readonly perimeterMm: number;
  /** Second moments of area about the centroid: about x (the integral of y2), about y, and the product xy. */
  readonly ixMm4: number;
  readonly iyMm4: number;
  readonly ixyMm4: number;
  /** Principal axes: the one of least resistance first. */
  readonly principal: readonly [PrincipalAxis, PrincipalAxis];
}

export interface PrincipalAxis {
  /** Of the axis that the figure bends about, against x, in (-pi/2, pi/2]. */
  readonly angle: number;
  /** Second moment of area about the axis, mm4. */
  readonly iMm4: number;
  /** Elastic section modulus: second moment over the distance of the farthest fibre, mm3. */
  readonly modulusMm3: number;
}

/** Area inside a loop of x, y pairs, mm2; negative when it runs clockwise. */
export function loopArea(loop: Float64Array): number {
  const x0 = loop[0] ?? 0;
  const y0 = loop[1] ?? 0;
  let twice = 0;
  for (let i = 2; i + 3 < loop.length; i += 2)
    twice +=
      ((loop[i] as number) - x0) * ((loop[i + 3] as number) - y0) -
      ((loop[i + 2] as number) - x0) * ((loop[i + 1] as number) - y0);
  return twice / 2;
}

export function loopLength(loop: Float64Array): number {
  const n = loop.length;
  let sum = 0;
  for (let i = 0; i < n; i += 2) {
    const j = (i + 2) % n;
    const dx = (loop[j] as number) - (loop[i] as number);
    const dy = (loop[j + 1] as number) - (loop[i + 1] as number);
    sum += Math.sqrt(dx * dx + dy * dy);
  }
  return sum;
}

/** How often the loops wind counter-clockwise round (x, y): 0 outside; undefined on a loop itself. */
export function windingOf(loops: readonly Float64Array[], x: number, y: number): number {
  let winding = 0;
  for (const loop of loops) {
    const n = loop.length;
    for (let i = 0; i < n; i += 2) {
      const j = (i + 2) % n;
      const x0 = (loop[i] as number) - x;
      const y0 = (loop[i + 1] as number) - y;
      const x1 = (loop[j] as number) - x;
      const y1 = (loop[j + 1] as number) - y;
      // Half-open in y: a corner at the height of the point is met once.
      if (y0 <= 0 !== y1 <= 0) {
        const side = x0 * y1 - x1 * y0;
        if (y0 <= 0 && side > 0) winding++;
        else if (y1 <= 0 && side < 0) winding--;
      }
    }
  }
  return winding;
}

/**
 * Loops sorted into connected regions: every hole goes to the smallest outline around it. For
 * loops that do not cross, as a section of a closed mesh without overlapping shells has; unite
 * overlapping ones first (`kernel.flat.unite`). Largest region first. A clockwise loop with no
 * outline around it (an inside-out shell) bounds no material and is left out.
 */
export function regionsOf(loops: readonly Float64Array[]): Region[] {
  const measured = loops.map((loop) => ({
    loop,
    area: loopArea(loop),
    holes: [] as Float64Array[],
  }));
  const outlines = measured.filter((m) => m.area > 0).sort((a, b) => a.area - b.area);
  for (const hole of measured)
    if (hole.area < 0) {
      const around = outlines.find((o) => o.area > -hole.area && contains(o.loop, hole.loop));
      around?.holes.push(hole.loop);
    }
  return outlines.reverse().map(({ loop, holes }) => ({ outline: loop, holes }));
}

/** Whether `inner`, which does not cross `outer`, lies inside it: most of its corners decide. */
function contains(outer: Float64Array, inner: Float64Array): boolean {
  // Loops may touch in a corner, so one corner alone could mislead; seven are asked at most.
  const corners = inner.length / 2;
  const step = Math.max(1, Math.floor(corners / 7));
  let inside = 0;
  let asked = 0;
  for (let i = 0; i < corners; i += step) {
    asked++;
    if (windingOf([outer], inner[2 * i] as number, inner[2 * i + 1] as number) !== 0) inside++;
  }
  return 2 * inside > asked;
}

/**
 * Area, centroid and second moments in closed form (Green's theorem over the edges, as in any
 * handbook of mechanics), taken about the first corner and moved to the centroid. By sign: holes
 * run clockwise. A figure without area has its centroid at the first corner and moments 0.
 */
export function regionFigures(loops: readonly Float64Array[]): RegionFigures {
  const x0 = loops[0]?.[0] ?? 0;
  const y0 = loops[0]?.[1] ?? 0;
  const sums = Array.from({ length: 6 }, () => new CompensatedSum()) as [
    CompensatedSum, CompensatedSum, CompensatedSum, CompensatedSum, CompensatedSum, CompensatedSum,
  ]; // prettier-ignore
  const [a, sx, sy, xx, yy, xy] = sums;
  let perimeterMm = 0;
  for (const loop of loops) {
    perimeterMm += loopLength(loop);
    const n = loop.length;
    for (let i = 0; i < n; i += 2) {
      const j = (i + 2) % n;
      const px = (loop[i] as number) - x0;
      const py = (loop[i + 1] as number) - y0;
      const qx = (loop[j] as number) - x0;
      const qy = (loop[j + 1] as number) - y0;
      const c = px * qy - qx * py;
      a.add(c);
      sx.add(c * (px + qx));
      sy.add(c * (py + qy));
      xx.add(c * (px * px + px * qx + qx * qx));
      yy.add(c * (py * py + py * qy + qy * qy));
      xy.add(c * (px * qy + 2 * px * py + 2 * qx * qy + qx * py));
    }
  }
  const areaMm2 = a.value / 2;
  const mx = areaMm2 === 0 ? 0 : sx.value / 6 / areaMm2;
  const my = areaMm2 === 0 ? 0 : sy.value / 6 / areaMm2;
  const flat = areaMm2 === 0 ? 0 : 1;
  const ixMm4 = flat * (yy.value / 12 - areaMm2 * my * my);
  const iyMm4 = flat * (xx.value / 12 - areaMm2 * mx * mx);
  const ixyMm4 = flat * (xy.value / 24 - areaMm2 * mx * my);
  const centroidMm = [x0 + mx, y0 + my] as const;

  // About an axis at angle t: I = (ix+iy)/2 + (ix-iy)/2 cos 2t - ixy sin 2t.
  const half = Math.hypot((ixMm4 - iyMm4) / 2, ixyMm4);
  const greatest = Math.atan2(-2 * ixyMm4, ixMm4 - iyMm4) / 2;
  const least = greatest > 0 ? greatest - Math.PI / 2 : greatest + Math.PI / 2;
  const axis = (angle: number, iMm4: number): PrincipalAxis => {
    const fibre = farthestFibre(loops, centroidMm, angle);
    return { angle, iMm4, modulusMm3: fibre > 0 ? iMm4 / fibre : 0 };
  };
  const mean = (ixMm4 + iyMm4) / 2;
  return {
    areaMm2,
    centroidMm,
    perimeterMm,
    ixMm4,
    iyMm4,
    ixyMm4,
    principal: [axis(least, Math.max(0, mean - half)), axis(greatest, mean + half)],
  };
}

/** Distance of the farthest corner from the axis through `centre` at `angle` to x. */
export function farthestFibre(
  loops: readonly Float64Array[],
  centre: readonly [number, number],
  angle: number,
): number {
  const nx = -Math.sin(angle);
  const ny = Math.cos(angle);
  let most = 0;
  for (const loop of loops)
    for (let i = 0; i < loop.length; i += 2) {
      const d = nx * ((loop[i] as number) - centre[0]) + ny * ((loop[i + 1] as number) - centre[1]);
      if (Math.abs(d) > most) most = Math.abs(d);
    }
  return most;
}
