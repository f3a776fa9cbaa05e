import { DEFAULT_SEED } from '../context.ts';
import type { Envelope } from '../envelope/index.ts';
import { ScantlingError } from '../errors.ts';
import {
  IDENTITY,
  multiplyQuat,
  normalizeQuat,
  quatAbout,
  quatToMatrix,
  seededRandom,
  type Quat,
  type Vec3,
} from '../math/index.ts';
import { boundsOf } from '../mesh/index.ts';
import { Extremes } from './extremes.ts';
import { freeSpaceOf, type FreeSpace } from './free-space.ts';
import { longestLine, meanWidth, piecesAtLeast } from './pieces-bound.ts';
import { placeBody, type Body } from './place.ts';
import { fitPlan } from './plan-fit.ts';
import {
  searchRotations,
  TOUCH,
  type SearchOptions,
  type SearchResult,
} from './rotation-search.ts';
import type { Fit, FitDecision, FitOptions, FitVerdict, Placement } from './types.ts';
import { bestYaw } from './yaw.ts';
import { isNowhereThinner, sampledWidth } from './width.ts';

export const DEFAULT_PRECISION = 0.001;
export const DEFAULT_MAX_CELLS = 200_000;
/** One turn is quickly searched to the end: the bound's error falls with the square of the cell. */
const YAW_PRECISION = 1e-8;

/** A hull (as `convexHull` gives it) or bare points; a hull allows better bounds. */
export type FitBody = Body | Float64Array;

/**
 * Whether and how a part fits an envelope, with the certified interval of the largest scale at
 * which it fits in any rotation. `scale.atLeast` has a witness measured over every point;
 * `scale.atMost` is proved by branch and bound over all rotations and holds for the convex hull in
 * the envelope less its margins. Keep-outs can only make it smaller: they are regarded in every
 * placement given, but a part that fits without them and for which no free place was found is
 * `undecided`. Touching counts as fitting, to within 1e-9 of the size.
 *
 * @throws ScantlingError `NO_POINTS` for an empty body, `NO_ROOM` for an envelope that its margins
 *   use up, `CANCELLED`
 * Cost: 1-150 ms for hulls of 8 to 12 000 vertices; see packages/core/bench/fit.bench.ts.
 */
export function fitPart(body: FitBody, envelope: Envelope, options: FitOptions = {}): Fit {
  const job = begin(body, envelope);
  const { space } = job;
  const asModelled = tauAt(job, IDENTITY);
  const first = search(job, options, false, [IDENTITY]);
  // Turns about the vertical matter only where they may make the difference between verdicts.
  const needed = asModelled > 1 + TOUCH || envelope.keepOuts.length > 0;
  const yaw = needed && first.bound <= 1 + TOUCH ? yawOf(job, options) : unturned(asModelled);
  const result = settled(job, options, first, yaw);
  const tau = Math.min(result.tau, asModelled, yaw.tau);
  const best = tau === asModelled ? IDENTITY : tau === yaw.tau ? yaw.rotation : result.rotation;
  const atMost = result.bound > 0 ? 1 / result.bound : Infinity;
  const free = {
    job,
    interval: { atLeast: Math.min(1 / tau, atMost), atMost, proved: result.complete },
    asModelled,
    yaw,
    best,
    cells: result.cells,
  };
  const found = envelope.keepOuts.length > 0 ? amongKeepOuts(free) : inTheOpen(free);
  const facts = options.facts ?? {};
  const pieces =
    found.verdict === 'too-big'
      ? piecesAtLeast(job.body.positions, space, {
          ...facts,
          ...(job.body.triangles.length > 0 && {
            meanWidthMm: meanWidth(job.body.positions, job.body.triangles),
          }),
        })
      : { count: 1, because: 'nothing asks for more' };
  return { envelope: envelope.name, ...found, piecesAtLeast: pieces, cells: result.cells };
}

/** `fitPart` for several envelopes, in their order. */
export const fitAny = (
  body: FitBody,
  envelopes: readonly Envelope[],
  options: FitOptions = {},
): Fit[] => envelopes.map((envelope) => fitPart(body, envelope, options));

/**
 * Whether points fit at their own size in any rotation, as fast as that can be told: simple
 * placements first, then bounds that need no search, then the search, stopped at the first answer.
 * `maxCells` defaults to 4000; a null answer says that it was not enough.
 */
export function decideFit(
  body: FitBody,
  envelope: Envelope,
  options: FitOptions = {},
): FitDecision {
  const job = begin(body, envelope);
  const { space } = job;
  const simple = [IDENTITY, [0.5, 0.5, 0.5, 0.5], [-0.5, -0.5, -0.5, 0.5]] as const;
  for (const q of simple) {
    const tau = tauAt(job, q);
    const turned = tau <= 1 ? q : multiplyQuat(yawOf(job, options, q, true).rotation, q);
    if (tau <= 1 || tauAt(job, turned) <= 1 + TOUCH) {
      const placement = placeBody(job.body, turned, envelope, space);
      if (placement) return { fits: true, placement };
    }
  }
  const line = longestLine(job.body.positions);
  if (line > space.diagonalMm * (1 + TOUCH))
    return { fits: false, atMost: space.diagonalMm / line };
  const result = search(job, { maxCells: 4000, ...options }, true, simple);
  const atMost = result.bound > 0 ? 1 / result.bound : Infinity;
  if (result.bound > 1 + TOUCH) return { fits: false, atMost };
  if (result.tau <= 1 + TOUCH) {
    const placement = placeBody(job.body, result.rotation, envelope, space);
    if (placement) return { fits: true, placement };
  }
  return { fits: null, atMost };
}

/**
 * The best placement of points with a turn about Z only, the same face down; null when they do not
 * fit so. Exact on rectangular plans (rotating calipers) and round ones; on polygonal plans the
 * turn is searched to the precision asked for. Keep-outs: several turns are tried.
 */
export function placeInYaw(
  body: FitBody,
  envelope: Envelope,
  options: FitOptions = {},
): Placement | null {
  const job = begin(body, envelope);
  if (tauAt(job, IDENTITY) <= 1 + TOUCH) {
    const placement = placeBody(job.body, IDENTITY, envelope, job.space);
    if (placement) return placement;
  }
  const yaw = yawOf(job, options, IDENTITY, true);
  if (yaw.tau > 1 + TOUCH) return null;
  return (
    placeBody(job.body, yaw.rotation, envelope, job.space) ??
    firstFree(job, [yaw.rotation, ...yawGrid()])
  );
}

interface Job {
  readonly body: Body;
  readonly envelope: Envelope;
  readonly space: FreeSpace;
  /** Points moved so that their box is about the origin: rotations then lose no precision. */
  readonly centred: Float64Array;
  readonly extremes: Extremes;
}

function begin(body: FitBody, envelope: Envelope): Job {
  const space = freeSpaceOf(envelope);
  if (space === null)
    throw new ScantlingError('NO_ROOM', `The margins of ${envelope.name} leave no room.`, {
      remedy: 'Make them smaller than half the plate and less than the height.',
    });
  const shape: Body =
    body instanceof Float64Array ? { positions: body, triangles: new Uint32Array(0) } : body;
  if (shape.positions.length === 0)
    throw new ScantlingError('NO_POINTS', 'There is nothing to fit: no points.');
  const { min, max } = boundsOf(shape.positions);
  const [mx, my, mz] = [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2];
  const centred = new Float64Array(shape.positions.length);
  for (let i = 0; i < centred.length; i += 3) {
    centred[i] = (shape.positions[i] as number) - mx;
    centred[i + 1] = (shape.positions[i + 1] as number) - my;
    centred[i + 2] = (shape.positions[i + 2] as number) - mz;
  }
  return { body: shape, envelope, space, centred, extremes: new Extremes(centred) };
}

/** Up to so many points are turned as they are; of more, those near the outline are found first. */
const FEW = 2000;

/** Plan coordinates of the turned points that may be corners of the outline, and the height of all. */
function turnedPlan(job: Job, q: Quat): { xs: Float64Array; ys: Float64Array; height: number } {
  const m = quatToMatrix(q);
  const { centred, extremes } = job;
  const few =
    centred.length / 3 > FEW ? extremes.rim([m[0], m[1], m[2]], [m[3], m[4], m[5]]) : null;
  const n = few ? few.length : centred.length / 3;
  const xs = new Float64Array(n);
  const ys = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    const i = 3 * (few ? (few[k] as number) : k);
    const x = centred[i] as number;
    const y = centred[i + 1] as number;
    const z = centred[i + 2] as number;
    xs[k] = m[0] * x + m[1] * y + m[2] * z;
    ys[k] = m[3] * x + m[4] * y + m[5] * z;
  }
  return { xs, ys, height: widthAlong(job, [m[6], m[7], m[8]]) };
}

function tauAt(job: Job, q: Quat): number {
  const { plan, heightMm } = job.space;
  if (plan.kind !== 'box') {
    const { xs, ys, height } = turnedPlan(job, q);
    return Math.max(height / heightMm, fitPlan(xs, ys, job.space).tau);
  }
  const m = quatToMatrix(q);
  return Math.max(
    widthAlong(job, [m[0], m[1], m[2]]) / plan.sizeMm[0],
    widthAlong(job, [m[3], m[4], m[5]]) / plan.sizeMm[1],
    widthAlong(job, [m[6], m[7], m[8]]) / heightMm,
  );
}

/** Extent of the points along a unit vector, mm. */
function widthAlong({ extremes, centred }: Job, [x, y, z]: Vec3): number {
  extremes.along(x, y, z);
  const at = (i: number): number =>
    x * (centred[3 * i] as number) +
    y * (centred[3 * i + 1] as number) +
    z * (centred[3 * i + 2] as number);
  return at(extremes.top) - at(extremes.bottom);
}

interface Yaw {
  readonly tau: number;
  readonly rotation: Quat;
}

const unturned = (tau: number): Yaw => ({ tau, rotation: IDENTITY });

/** The best turn about Z after the rotation `q`. */
function yawOf(job: Job, options: FitOptions, q: Quat = IDENTITY, decideOnly = false): Yaw {
  const { plan, heightMm } = job.space;
  const { xs, ys, height } = turnedPlan(job, q);
  if (plan.kind === 'disc')
    return { tau: Math.max(height / heightMm, fitPlan(xs, ys, job.space).tau), rotation: IDENTITY };
  if (plan.kind === 'box') {
    const found = bestYaw(xs, ys, plan.sizeMm[0], plan.sizeMm[1]);
    return {
      tau: Math.max(height / heightMm, found.tau),
      rotation: quatAbout([0, 0, 1], found.angle),
    };
  }
  const flat = new Float64Array(3 * xs.length);
  for (let i = 0; i < xs.length; i++) flat.set([xs[i] as number, ys[i] as number, 0], 3 * i);
  const result = searchRotations(new Extremes(flat), job.space, {
    ...options,
    precision: YAW_PRECISION,
    decideOnly,
    maxCells: 4000,
    turns: 'yaw',
    seeds: [IDENTITY],
  });
  return { tau: Math.max(result.tau, height / heightMm), rotation: result.rotation };
}

function search(
  job: Job,
  options: FitOptions,
  decideOnly: boolean,
  seeds: readonly Quat[],
): SearchResult {
  const precision = options.precision ?? DEFAULT_PRECISION;
  const settings = {
    ...options,
    precision,
    decideOnly,
    maxCells: options.maxCells ?? DEFAULT_MAX_CELLS,
    seeds,
  };
  const quick = searchRotations(job.extremes, job.space, { ...settings, maxCells: 0 });
  return (
    settledByWidth(job, settings, quick) ??
    searchRotations(job.extremes, job.space, { ...settings, seeds: [quick.rotation, ...seeds] })
  );
}

/** When the interval leaves open whether the part fits at its own size, asks just that. */
function settled(job: Job, options: FitOptions, found: SearchResult, yaw: Yaw): SearchResult {
  const tau = Math.min(found.tau, yaw.tau);
  const open = found.complete && tau > 1 + TOUCH && found.bound <= 1 + TOUCH;
  if (!open) return found;
  const limit = options.maxCells ?? DEFAULT_MAX_CELLS;
  const more = search(
    job,
    { ...options, precision: 1e-7, maxCells: Math.max(0, Math.min(20_000, limit - found.cells)) },
    true,
    [tau === yaw.tau ? yaw.rotation : found.rotation],
  );
  return {
    ...more,
    bound: Math.max(found.bound, more.bound),
    cells: found.cells + more.cells,
    complete: true,
  };
}

/**
 * Nearly round bodies: no rotation is better than another, so the search would have nothing to
 * prune, but their thinnest width settles it, once the best of many walks is close to it.
 */
function settledByWidth(
  job: Job,
  settings: SearchOptions,
  quick: SearchResult,
): SearchResult | null {
  const least = Math.min(job.space.heightMm, planWidth(job.space));
  const round = 0.97 * quick.tau * least;
  if (sampledWidth(job.extremes, round) < round) return null;
  const random = seededRandom(settings.seed ?? DEFAULT_SEED);
  const starts = Array.from({ length: 40 }, () =>
    normalizeQuat([random() - 0.5, random() - 0.5, random() - 0.5, random() - 0.5]),
  );
  const best = searchRotations(job.extremes, job.space, {
    ...settings,
    seeds: [quick.rotation],
    starts,
    maxCells: 0,
  });
  const goal = settings.decideOnly ? 1 + 2 * TOUCH : best.tau / (1 + settings.precision);
  if (!isNowhereThinner(job.extremes, goal * least)) return null;
  return { ...best, bound: goal * (1 - 1e-12), complete: true, cells: 0 };
}

/** Least width of the plan: no body thicker than it can stand on it. */
function planWidth({ plan }: FreeSpace): number {
  if (plan.kind === 'box') return Math.min(...plan.sizeMm);
  if (plan.kind === 'disc') return 2 * plan.radiusMm;
  // The height alone is then what round bodies are held against.
  return Infinity;
}

interface Found {
  readonly verdict: FitVerdict;
  readonly scale: Fit['scale'];
  readonly placement: Placement;
}

interface OpenFit {
  readonly job: Job;
  readonly interval: Fit['scale'];
  readonly asModelled: number;
  readonly yaw: Yaw;
  readonly best: Quat;
}

function inTheOpen({ job, interval, asModelled, yaw, best }: OpenFit): Found {
  const { body, envelope, space } = job;
  const at = (q: Quat): Placement => placeBody(body, q, envelope, space) as Placement;
  if (asModelled <= 1 + TOUCH) return { verdict: 'fits', scale: interval, placement: at(IDENTITY) };
  if (yaw.tau <= 1 + TOUCH)
    return { verdict: 'fits-turned', scale: interval, placement: at(yaw.rotation) };
  const placement = at(best);
  if (interval.atLeast >= 1 - TOUCH) return { verdict: 'fits-tilted', scale: interval, placement };
  const proved = interval.atMost < 1 - TOUCH;
  return { verdict: proved ? 'too-big' : 'undecided', scale: interval, placement };
}

/** Turns about Z to try among keep-outs. */
const yawGrid = (): Quat[] =>
  Array.from({ length: 72 }, (_, i) => quatAbout([0, 0, 1], (i * Math.PI) / 36));

function firstFree(job: Job, rotations: readonly Quat[], scale = 1): Placement | null {
  for (const q of rotations) {
    if (tauAt(job, q) * scale > 1 + TOUCH) continue;
    const placement = placeBody(job.body, q, job.envelope, job.space, scale);
    if (placement) return placement;
  }
  return null;
}

function amongKeepOuts(open: OpenFit): Found {
  const { job, interval, yaw, best } = open;
  const families: [FitVerdict, Quat[]][] = [
    ['fits', [IDENTITY]],
    ['fits-turned', [yaw.rotation, ...yawGrid()]],
    ['fits-tilted', [best, ...yawGrid().map((turn) => multiplyQuat(turn, best))]],
  ];
  const all = families.flatMap(([, rotations]) => rotations);
  // A scaled-down copy of a convex body fits inside the body itself, so free scales are an interval.
  let lo = 0;
  let hi = interval.atMost === Infinity ? 1 / Math.min(open.asModelled, yaw.tau) : interval.atMost;
  if (firstFree(job, all, hi)) lo = hi;
  while (hi - lo > 0.0005 * hi) {
    const middle = (lo + hi) / 2;
    if (firstFree(job, all, middle)) lo = middle;
    else hi = middle;
  }
  const scale = { ...interval, atLeast: lo };
  for (const [verdict, rotations] of families) {
    const placement = firstFree(job, rotations);
    if (placement) return { verdict, scale: { ...scale, atLeast: Math.max(1, lo) }, placement };
  }
  const bare = { ...job.envelope, keepOuts: [] };
  const placement = placeBody(job.body, best, bare, job.space) as Placement;
  const proved = interval.atMost < 1 - TOUCH;
  return { verdict: proved ? 'too-big' : 'undecided', scale, placement };
}
