import type { Vec3 } from '../math/index.ts';
import { heightsAlong, roundingOf, segmentOf } from './crossing.ts';
import type { Mesh } from './mesh.ts';
import { planeFrame } from './plane.ts';
import { joinSegments, type Section } from './section.ts';

/** The sections at all `offsets`, in the order given. See `sweepSections`. */
export function sectionsAlong(mesh: Mesh, direction: Vec3, offsets: ArrayLike<number>): Section[] {
  const order = Array.from(offsets, (_, i) => i).sort(
    (i, j) => (offsets[i] as number) - (offsets[j] as number),
  );
  const sections = new Array<Section>(offsets.length);
  let k = 0;
  for (const section of sweepSections(mesh, direction, Float64Array.from(offsets)))
    sections[order[k++] as number] = section;
  return sections;
}

/**
 * The sections square to the unit vector `direction` at the offsets, lowest first, one at a time.
 * The facets are sorted once and each section looks only at those it cuts:
 * O(n log n + sum of the cut facets).
 */
export function* sweepSections(
  mesh: Mesh,
  direction: Vec3,
  offsets: ArrayLike<number>,
): Generator<Section, void, undefined> {
  for (const { offsetMm, level, heights, cut, count } of sweep(mesh, direction, offsets))
    // In file order, so that a sweep gives the very loops a single section gives.
    yield joinSegments(
      mesh,
      { normal: direction, offsetMm },
      heights,
      level,
      cut.slice(0, count).sort(),
    );
}

/** Figures of parallel sections, one entry per offset in the order given; for a closed mesh. */
export interface SectionFigures {
  /** mm2; by sign and winding: overlapping shells count twice. */
  readonly areaMm2: Float64Array;
  /** Length of all outlines and holes, mm. */
  readonly perimeterMm: Float64Array;
  /** Facets cut. */
  readonly facets: Uint32Array;
}

/**
 * Area and outline length of many parallel sections without joining their loops: both are sums
 * over single cut facets (Green's theorem). For searches that ask for hundreds of planes.
 */
export function sectionFigures(
  mesh: Mesh,
  direction: Vec3,
  offsets: ArrayLike<number>,
): SectionFigures {
  const order = Array.from(offsets, (_, i) => i).sort(
    (i, j) => (offsets[i] as number) - (offsets[j] as number),
  );
  const areaMm2 = new Float64Array(offsets.length);
  const perimeterMm = new Float64Array(offsets.length);
  const facets = new Uint32Array(offsets.length);
  const segment = new Float64Array(4);
  let k = 0;
  for (const { offsetMm, level, heights, cut, count } of sweep(mesh, direction, offsets)) {
    const frame = planeFrame({ normal: direction, offsetMm });
    let twice = 0;
    let length = 0;
    // About the first point, so that a section far from the origin loses no digits.
    let x0 = 0;
    let y0 = 0;
    for (let i = 0; i < count; i++) {
      segmentOf(mesh, frame, offsetMm, heights, level, cut[i] as number, segment);
      const [ax, ay, bx, by] = segment as unknown as [number, number, number, number];
      if (i === 0) {
        x0 = ax;
        y0 = ay;
      }
      twice += (ax - x0) * (by - y0) - (bx - x0) * (ay - y0);
      length += Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
    }
    const at = order[k++] as number;
    areaMm2[at] = twice / 2;
    perimeterMm[at] = length;
    facets[at] = count;
  }
  return { areaMm2, perimeterMm, facets };
}

interface Stop {
  readonly offsetMm: number;
  readonly heights: Float64Array;
  readonly level: number;
  /** Facets cut; only the first `count` entries, in no particular order. */
  readonly cut: Uint32Array;
  readonly count: number;
}

function* sweep(
  mesh: Mesh,
  direction: Vec3,
  offsets: ArrayLike<number>,
): Generator<Stop, void, undefined> {
  const heights = heightsAlong(mesh, direction);
  const t = mesh.triangles;
  const facets = t.length / 3;
  const stops = Float64Array.from(offsets).sort();
  const near = roundingOf(heights, Math.max(Math.abs(stops[0] ?? 0), Math.abs(stops.at(-1) ?? 0)));
  const levels = stops.map((offset) => offset - near);
  // A facet is cut where lowest < level <= highest: it enters at the first level above its lowest
  // vertex and leaves after the last one not above its highest. Counting sort by the first.
  const enter = new Uint32Array(stops.length + 1);
  const first = new Uint32Array(facets);
  const leave = new Uint32Array(facets);
  for (let f = 0; f < facets; f++) {
    const a = heights[t[3 * f] as number] as number;
    const b = heights[t[3 * f + 1] as number] as number;
    const c = heights[t[3 * f + 2] as number] as number;
    first[f] = countUpTo(levels, Math.min(a, b, c));
    leave[f] = countUpTo(levels, Math.max(a, b, c));
    if ((first[f] as number) < (leave[f] as number)) (enter[first[f] as number] as number)++;
  }
  const queue = new Uint32Array(facets);
  let sum = 0;
  for (let i = 0; i <= stops.length; i++) {
    const n = enter[i] as number;
    enter[i] = sum;
    sum += n;
  }
  for (let f = 0; f < facets; f++)
    if ((first[f] as number) < (leave[f] as number))
      queue[(enter[first[f] as number] as number)++] = f;
  // Now enter[i] is where the facets that enter at stop i end.
  const cut = new Uint32Array(sum);
  let count = 0;
  let next = 0;
  for (let i = 0; i < stops.length; i++) {
    let kept = 0;
    for (let k = 0; k < count; k++) {
      const f = cut[k] as number;
      if ((leave[f] as number) > i) cut[kept++] = f;
    }
    count = kept;
    while (next < (enter[i] as number)) cut[count++] = queue[next++] as number;
    yield { offsetMm: stops[i] as number, level: levels[i] as number, heights, cut, count };
  }
}

/** How many of the ascending numbers are <= x. */
function countUpTo(ascending: Float64Array, x: number): number {
  let low = 0;
  let high = ascending.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((ascending[middle] as number) <= x) low = middle + 1;
    else high = middle;
  }
  return low;
}
