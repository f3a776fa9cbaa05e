import { regionFigures } from '../mesh/index.ts';
import { distanceToOutline, insidePatch, patchBounds, type Patch } from './patch.ts';
import { keyOf, type FaceSymmetries, type Site } from './symmetry.ts';

/**
 * Where the dowels of one region go: as far from each other as the region lets them be. The
 * distance between two points is a convex function, so the best pair lies on the rim of the
 * places where a hole is allowed; that rim is sampled, with its corners exact, and the winner is
 * then pushed on in ever smaller steps.
 */
export interface PlaceTask {
  readonly region: Patch;
  /** Radius of the hole, mm. */
  readonly r: number;
  /** Least wall, mm: to the outline and between holes. */
  readonly wallMm: number;
  /** The proof in three dimensions: whether a hole may stand here. */
  readonly allowed: (x: number, y: number) => boolean;
  /**
   * What the pattern must tell apart: the ways in which a face lies on itself, each with the holes
   * that are there already (a rod, dowels of other regions) and count in the pattern.
   */
  readonly keys: readonly PatternKey[];
  readonly keyMm: number;
}

export interface PatternKey {
  readonly symmetries: FaceSymmetries;
  readonly fixed: readonly Site[];
}

export interface Pattern {
  readonly sites: readonly Site[];
  /** Least distance between two dowels, mm (for one dowel 0). */
  readonly spreadMm: number;
  /** Least miss of any wrong way of assembly, mm. */
  readonly missMm: number;
  /** Mirrored ways were left out of the key because no pattern here forbids them. */
  readonly mirrorsAdmitted: boolean;
}

/** Kept free beyond the wall, so that rounding never eats it, mm. */
const HAIR_MM = 0.01;

/** All places worth trying for a hole of this size, best first nothing: plain x, y pairs. */
export function candidateSites(task: PlaceTask): Float64Array {
  const { region, r, wallMm, keyMm } = task;
  const figures = regionFigures(region.loops);
  const step = Math.max(figures.perimeterMm / 200, 0.5);
  const found: number[] = [];
  const rim = r + wallMm + HAIR_MM;
  const add = (x: number, y: number, least: number): void => {
    if (!insidePatch(region, x, y) || distanceToOutline(region, x, y) < least - 1e-6) return;
    if (task.allowed(x, y)) found.push(x, y);
  };
  for (const layer of [rim, rim + 1.05 * keyMm, rim + 2.1 * keyMm])
    for (const loop of region.loops) offsetPoints(loop, layer, step, (x, y) => add(x, y, rim));
  const box = patchBounds(region);
  const grid = Math.max(Math.sqrt(figures.areaMm2 / 200), 0.5);
  for (let x = box.x0 + grid / 2; x < box.x1; x += grid)
    for (let y = box.y0 + grid / 2; y < box.y1; y += grid) add(x, y, rim);
  return Float64Array.from(found);
}

/** Points at `d` to the left of a loop: mitred at inner corners, round at outer ones. */
function offsetPoints(
  loop: Float64Array,
  d: number,
  step: number,
  visit: (x: number, y: number) => void,
): void {
  const n = loop.length / 2;
  let walked = step;
  let before = edgeOf(loop, n - 1);
  for (let i = 0; i < n; i++) {
    const edge = edgeOf(loop, i);
    const x = loop[2 * i] as number;
    const y = loop[2 * i + 1] as number;
    const turn = Math.atan2(
      before.dx * edge.dy - before.dy * edge.dx,
      before.dx * edge.dx + before.dy * edge.dy,
    );
    if (turn > 0.15) {
      const k = d / (1 + before.dx * edge.dx + before.dy * edge.dy);
      visit(x - k * (before.dy + edge.dy), y + k * (before.dx + edge.dx));
    } else if (turn < -0.15) {
      const parts = Math.ceil(-turn / 0.35);
      for (let j = 0; j <= parts; j++) {
        const a = Math.atan2(before.dx, -before.dy) + (turn * j) / parts;
        visit(x + d * Math.cos(a), y + d * Math.sin(a));
      }
    }
    for (; walked < edge.length; walked += step)
      visit(x + walked * edge.dx - d * edge.dy, y + walked * edge.dy + d * edge.dx);
    walked -= edge.length;
    before = edge;
  }
}

function edgeOf(loop: Float64Array, i: number): { dx: number; dy: number; length: number } {
  const n = loop.length / 2;
  const j = (i + 1) % n;
  const x = (loop[2 * j] as number) - (loop[2 * i] as number);
  const y = (loop[2 * j + 1] as number) - (loop[2 * i + 1] as number);
  const length = Math.hypot(x, y);
  return length > 0 ? { dx: x / length, dy: y / length, length } : { dx: 1, dy: 0, length };
}

/**
 * The best pattern of `count` dowels found, or null where no `count` of them stand clear of each
 * other. First a pattern that forbids every wrong way; failing that, one that forbids every turn
 * (a mirrored assembly needs the piece turned over, so it takes a second, equal face); failing
 * that, the widest one, with its `missMm` to tell.
 */
export function placeDowels(
  task: PlaceTask,
  count: number,
  candidates: Float64Array = candidateSites(task),
): Pattern | null {
  const m = candidates.length / 2;
  if (m < count) return null;
  if (count === 1) return single(task, candidates);
  const gap = 2 * task.r + task.wallMm;
  const wide = spreadOut(task, candidates, count);
  if (!wide || leastGap(wide) < gap) return null;
  for (const mirrors of [true, false]) {
    const start = keyed(task, wide, mirrors)
      ? wide
      : count === 2
        ? widestKeyedPair(task, candidates, mirrors)
        : exchangedToKey(task, candidates, wide, mirrors);
    if (!start || leastGap(start) < gap) continue;
    return patternOf(
      task,
      pushOut(task, start, (s) => keyed(task, s, mirrors)),
      !mirrors,
    );
  }
  return patternOf(
    task,
    pushOut(task, wide, () => true),
    true,
  );
}

/** One dowel stands as far from the rods as it can, or else where the material is thickest. */
function single(task: PlaceTask, candidates: Float64Array): Pattern {
  const fixed = task.keys[0]?.fixed ?? [];
  const ranked = Array.from({ length: candidates.length / 2 }, (_, i) => {
    const site = siteAt(task, candidates, i);
    const worth =
      fixed.length > 0
        ? Math.min(...fixed.map((f) => Math.hypot(f.x - site.x, f.y - site.y)))
        : distanceToOutline(task.region, site.x, site.y);
    return { site, worth };
  }).sort((p, q) => q.worth - p.worth);
  if (fixed.length > 0)
    for (const mirrors of [true, false]) {
      const good = ranked.find(({ site }) => keyed(task, [site], mirrors));
      if (good) return patternOf(task, [good.site], !mirrors);
    }
  return patternOf(task, [(ranked[0] as { site: Site }).site], false);
}

const siteAt = (task: PlaceTask, candidates: Float64Array, i: number): Site => ({
  x: candidates[2 * i] as number,
  y: candidates[2 * i + 1] as number,
  r: task.r,
});

function patternOf(task: PlaceTask, sites: readonly Site[], mirrorsAdmitted: boolean): Pattern {
  return {
    sites,
    spreadMm: sites.length > 1 ? leastGap(sites) : 0,
    missMm: leastMiss(task, sites, !mirrorsAdmitted, 0),
    mirrorsAdmitted,
  };
}

function leastMiss(
  task: PlaceTask,
  sites: readonly Site[],
  mirrors: boolean,
  enough: number,
): number {
  let least = Infinity;
  for (const { symmetries, fixed } of task.keys) {
    least = Math.min(least, keyOf([...sites, ...fixed], symmetries, enough, mirrors).missMm);
    if (least < enough) break;
  }
  return least;
}

const keyed = (task: PlaceTask, sites: readonly Site[], mirrors: boolean): boolean =>
  leastMiss(task, sites, mirrors, task.keyMm) >= task.keyMm;

export function leastGap(sites: readonly Site[]): number {
  let least = Infinity;
  for (let i = 0; i < sites.length; i++)
    for (let j = i + 1; j < sites.length; j++) least = Math.min(least, apart(sites, i, j));
  return least;
}

const apart = (sites: readonly Site[], i: number, j: number): number => {
  const a = sites[i] as Site;
  const b = sites[j] as Site;
  return Math.hypot(a.x - b.x, a.y - b.y);
};

/** All gaps, smallest first: two patterns are compared gap by gap. */
function gaps(sites: readonly Site[]): number[] {
  const all: number[] = [];
  for (let i = 0; i < sites.length; i++)
    for (let j = i + 1; j < sites.length; j++) all.push(apart(sites, i, j));
  return all.sort((p, q) => p - q);
}

function wider(a: readonly number[], b: readonly number[]): boolean {
  for (let i = 0; i < a.length; i++) {
    const d = (a[i] as number) - (b[i] as number);
    if (Math.abs(d) > 1e-6) return d > 0;
  }
  return false;
}

/** From the farthest pair, add the farthest place, then move single dowels while that helps. */
function spreadOut(task: PlaceTask, candidates: Float64Array, count: number): Site[] | null {
  const m = candidates.length / 2;
  let far = -1;
  let pair: [number, number] = [0, 0];
  for (let i = 0; i < m; i++)
    for (let j = i + 1; j < m; j++) {
      const dx = (candidates[2 * i] as number) - (candidates[2 * j] as number);
      const dy = (candidates[2 * i + 1] as number) - (candidates[2 * j + 1] as number);
      if (dx * dx + dy * dy > far) [far, pair] = [dx * dx + dy * dy, [i, j]];
    }
  if (far <= 0) return null;
  const sites = pair.map((i) => siteAt(task, candidates, i));
  if (count === 2) return sites;
  while (sites.length < count) {
    let best = 0;
    let most = -1;
    for (let i = 0; i < m; i++) {
      const s = siteAt(task, candidates, i);
      const d = Math.min(...sites.map((p) => Math.hypot(p.x - s.x, p.y - s.y)));
      if (d > most) [most, best] = [d, i];
    }
    sites.push(siteAt(task, candidates, best));
  }
  exchange(task, candidates, sites, () => true);
  return sites;
}

function exchange(
  task: PlaceTask,
  candidates: Float64Array,
  sites: Site[],
  accept: (sites: readonly Site[]) => boolean,
): void {
  let now = gaps(sites);
  for (let round = 0, moved = true; moved && round < 20; round++) {
    moved = false;
    for (let k = 0; k < sites.length; k++) {
      for (let i = 0; i < candidates.length / 2; i++) {
        const old = sites[k] as Site;
        sites[k] = siteAt(task, candidates, i);
        const then = gaps(sites);
        if (wider(then, now) && accept(sites)) {
          now = then;
          moved = true;
        } else sites[k] = old;
      }
    }
  }
}

/** The widest pair of places whose pattern forbids the wrong ways. */
function widestKeyedPair(
  task: PlaceTask,
  candidates: Float64Array,
  mirrors: boolean,
): Site[] | null {
  const m = candidates.length / 2;
  const gap = 2 * task.r + task.wallMm;
  const apartOf = (i: number, j: number): number =>
    Math.hypot(
      (candidates[2 * i] as number) - (candidates[2 * j] as number),
      (candidates[2 * i + 1] as number) - (candidates[2 * j + 1] as number),
    );
  let far = 0;
  for (let i = 0; i < m; i++) for (let j = i + 1; j < m; j++) far = Math.max(far, apartOf(i, j));
  // Widest pairs first, band by band: nearly always the first band holds the answer.
  let upper = Infinity;
  for (const share of [0.96, 0.85, 0.6, 0.3]) {
    const lower = Math.max(gap, share * far);
    const pairs: number[] = [];
    const width: number[] = [];
    for (let i = 0; i < m; i++)
      for (let j = i + 1; j < m; j++) {
        const d = apartOf(i, j);
        if (d < lower || d >= upper) continue;
        pairs.push(i * m + j);
        width.push(d);
      }
    const order = Uint32Array.from(width.keys()).sort(
      (p, q) => (width[q] as number) - (width[p] as number),
    );
    for (const k of order.subarray(0, 20000)) {
      const code = pairs[k] as number;
      const sites = [
        siteAt(task, candidates, Math.floor(code / m)),
        siteAt(task, candidates, code % m),
      ];
      if (keyed(task, sites, mirrors)) return sites;
    }
    upper = lower;
  }
  return null;
}

/** The widest pattern with one dowel moved so that the wrong ways are forbidden. */
function exchangedToKey(
  task: PlaceTask,
  candidates: Float64Array,
  start: readonly Site[],
  mirrors: boolean,
): Site[] | null {
  let best: Site[] | null = null;
  let most: number[] = [];
  for (let k = 0; k < start.length; k++)
    for (let i = 0; i < candidates.length / 2; i++) {
      const sites = [...start];
      sites[k] = siteAt(task, candidates, i);
      const then = gaps(sites);
      if ((!best || wider(then, most)) && keyed(task, sites, mirrors)) [best, most] = [sites, then];
    }
  return best;
}

/** Moves dowels in steps that halve from 4 mm to 0.02 mm while the pattern grows. */
function pushOut(
  task: PlaceTask,
  start: readonly Site[],
  accept: (sites: readonly Site[]) => boolean,
): Site[] {
  const sites = [...start];
  let now = gaps(sites);
  const least = task.r + task.wallMm;
  for (let step = 4; step > 0.02; step /= 2)
    for (let round = 0, moved = true; moved && round < 30; round++) {
      moved = false;
      for (let k = 0; k < sites.length; k++)
        for (let d = 0; d < 16; d++) {
          const old = sites[k] as Site;
          const x = old.x + step * Math.cos((d * Math.PI) / 8);
          const y = old.y + step * Math.sin((d * Math.PI) / 8);
          sites[k] = { x, y, r: task.r };
          const then = gaps(sites);
          if (
            wider(then, now) &&
            insidePatch(task.region, x, y) &&
            distanceToOutline(task.region, x, y) >= least + HAIR_MM / 2 &&
            accept(sites) &&
            task.allowed(x, y)
          ) {
            now = then;
            moved = true;
          } else sites[k] = old;
        }
    }
  return sites;
}
