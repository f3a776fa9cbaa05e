import { checkCancelled, type Context } from '../context.ts';
import { degrees } from '../units.ts';
import { dot, frameOf, negate, unit, type Vec3 } from '../math/index.ts';
import {
  distinct,
  geodesicDirections,
  mildest,
  normalClusters,
  restingFaces,
  type Candidate,
} from './candidates.ts';
import type { Part } from './part.ts';
import { scoreOf, type Marks } from './score.ts';
import type { OrientSettings } from './settings.ts';
import { evaluateSupports, type SupportOptions } from './supports.ts';
import type { Body } from './turned.ts';

/** A direction ranked roughly, on a coarse twin of the part. */
export interface Ranked {
  readonly candidate: Candidate;
  readonly marks: Marks;
  readonly score: number;
}

export interface SearchOptions extends Context {
  readonly settings: OrientSettings;
  readonly load: Vec3 | null;
  readonly quick: boolean;
  /** Further directions to try first: up, in part coordinates. */
  readonly alsoTry: readonly Vec3[];
}

/** As in the file, faces it stands on, flat faces up and down, mild overhangs, an even grid. */
export function candidatesOf(part: Part, { quick, alsoTry }: SearchOptions): Candidate[] {
  const bare = { tipDeg: null, contactMm2: 0 };
  const resting = restingFaces(part.hull, part.centre).slice(0, quick ? 60 : MOST_RESTING);
  // Of large meshes the rough twin: every normal of a round one is a corner of their hull.
  const ground = part.medium.mesh.triangles.length / 3 <= WALKED_FACETS ? part.medium : part.rough;
  const clusters = normalClusters(part.medium.facets).slice(0, quick ? 12 : undefined);
  return distinct(
    [
      ...resting.map((f): Candidate => ({
        up: f.up,
        from: 'resting-face',
        tipDeg: f.tipDeg,
        contactMm2: f.areaMm2,
      })),
      ...alsoTry.map((up): Candidate => ({ up, from: 'refined', ...bare })),
      ...clusters
        .flatMap((n) => [n, negate(n)])
        .map((up): Candidate => ({ up, from: 'flat-face', ...bare })),
      ...mildest(ground.facets, quick ? 2 : 6).map((up): Candidate => ({
        up,
        from: 'grid',
        mild: true,
        ...bare,
      })),
      ...geodesicDirections(quick ? 2 : 3, part.axes).map((up): Candidate => ({
        up,
        from: 'grid',
        ...bare,
      })),
    ],
    1,
  );
}

const MOST_RESTING = 200;

/** Columns along the longer side: enough to rank, and to refine. */
const ROUGH_CELLS = 40;
const FINE_CELLS = 80;

const roughly = (selfSupportDeg: number): SupportOptions => ({
  selfSupportDeg,
  cells: ROUGH_CELLS,
  maxCells: ROUGH_CELLS,
});
const finely = (selfSupportDeg: number): SupportOptions => ({
  selfSupportDeg,
  cells: FINE_CELLS,
  maxCells: FINE_CELLS,
});

/** Ranks candidates on the rough twin, best score first. */
export function rankRoughly(
  part: Part,
  candidates: readonly Candidate[],
  options: SearchOptions,
): Ranked[] {
  const ranked = candidates.map((candidate, i) => {
    if (i % 64 === 0) checkCancelled(options);
    return rank(part, candidate, options);
  });
  return ranked.sort((a, b) => a.score - b.score);
}

function rank(part: Part, candidate: Candidate, { settings, load }: SearchOptions): Ranked {
  const found = evaluateSupports(part.rough, candidate.up, roughly(settings.selfSupportDeg));
  const marks: Marks = {
    supportMm3: found.volumeMm3,
    scarsMm2: found.touchedMm2 + found.standingOnPartMm2,
    cleanMm2: found.cleanTouchedMm2,
    tipDeg: candidate.tipDeg ?? 0,
    contactMm2: candidate.contactMm2,
    heightMm: heightAlong(part.hull.positions, candidate.up),
    islands: 0,
    loadDeg: load ? degrees(Math.asin(Math.min(1, Math.abs(dot(load, candidate.up))))) : 0,
  };
  return { candidate, marks, score: scoreOf(part, marks, settings.weights) };
}

export function heightAlong(positions: ArrayLike<number>, up: Vec3): number {
  let lo = Infinity;
  let hi = -Infinity;
  for (let i = 0; i < positions.length; i += 3) {
    const h =
      (positions[i] as number) * up[0] +
      (positions[i + 1] as number) * up[1] +
      (positions[i + 2] as number) * up[2];
    if (h < lo) lo = h;
    if (h > hi) hi = h;
  }
  return hi - lo;
}

/**
 * Turns the most promising directions a little at a time while their supports shrink: first on the
 * rough twin, then the best of them on the finer one. The support volume is only piecewise smooth
 * (Ezair, Massarwi and Elber 2015), and one descent often ends in a poor place (Morgan et al.
 * 2016): hence a search by pattern, without slopes, from many starts.
 *
 * @param allowed whether a direction may be used at all; asked only for directions that are better
 */
export function refine(
  part: Part,
  ranked: readonly Ranked[],
  allowed: (up: Vec3) => boolean,
  options: SearchOptions,
): Candidate[] {
  const { quick, settings } = options;
  const bySupport = [...ranked].sort((a, b) => a.marks.supportMm3 - b.marks.supportMm3);
  const facets = part.medium.mesh.triangles.length / 3;
  // Where it costs little, more walks are made, and on the finer twin: the rough one moves hollows.
  const small = facets <= WALKED_FACETS;
  const most = quick ? 2 : afforded(60_000 / facets, 16, 40);
  const starts: Vec3[] = [];
  for (const r of bySupport) {
    if (starts.length >= most) break;
    if (starts.every((s) => dot(s, r.candidate.up) < START_APART)) starts.push(r.candidate.up);
  }
  const ground = small ? part.medium : part.rough;
  const rough = starts
    .map((up) => {
      checkCancelled(options);
      return descend(ground, up, 4, quick ? 2 : 1, allowed, roughly(settings.selfSupportDeg));
    })
    .sort((a, b) => a.volume - b.volume);
  // Walks that ended in one place go on as one; what is far from the least will not overtake it.
  const apart = rough.filter(
    ({ up, volume }, i) =>
      volume <= HOPELESS * (rough[0] as Descent).volume &&
      rough.slice(0, i).every((r) => dot(r.up, up) < SAME_PLACE),
  );
  const fine = apart
    .slice(0, quick ? 0 : afforded(FINE_WALKS / (facets * facets), 4, 16))
    .map(({ up }) => {
      checkCancelled(options);
      return descend(
        part.medium,
        up,
        1.5,
        quick ? 1 : 0.35,
        allowed,
        finely(settings.selfSupportDeg),
      );
    })
    .sort((a, b) => a.volume - b.volume);
  return [...fine, ...apart].map(({ up }) => ({
    up,
    from: 'refined' as const,
    tipDeg: null,
    contactMm2: 0,
  }));
}

/**
 * The last turns, a tenth of a degree in the end, on the part itself. A large mesh affords few.
 */
export function refineLeast(
  part: Part,
  from: Vec3,
  allowed: (up: Vec3) => boolean,
  { settings: { selfSupportDeg } }: SearchOptions,
): Candidate {
  const facets = part.body.mesh.triangles.length / 3;
  const most = afforded(AFFORDED / facets, LEAST_LOOKS, MOST_LOOKS);
  const { up } = descend(
    part.body,
    from,
    1,
    0.1,
    allowed,
    { selfSupportDeg, maxCells: LAST_CELLS },
    most,
  );
  return { up, from: 'refined', tipDeg: null, contactMm2: 0 };
}

const LAST_CELLS = 384;
/** Facets looked at in all, and between how many and how few times a part is looked at. */
const AFFORDED = 1.2e5;
const MOST_LOOKS = 160;
const LEAST_LOOKS = 12;

const WALKED_FACETS = 8000;
/** A walk costs as its facets, and of larger parts fewer are left over: so many by their square. */
const FINE_WALKS = 8e7;

const afforded = (many: number, least: number, most: number): number =>
  Math.max(least, Math.min(most, Math.round(many)));

/** Ends nearer to each other than 2 degrees are one place. */
const SAME_PLACE = Math.cos((2 * Math.PI) / 180);
/** On the rough twin, against the least. */
const HOPELESS = 2;

/** Starts nearer to each other than 6 degrees lead to the same place. */
const START_APART = Math.cos((6 * Math.PI) / 180);

interface Descent {
  readonly up: Vec3;
  readonly volume: number;
}

function descend(
  body: Body,
  from: Vec3,
  firstDeg: number,
  lastDeg: number,
  allowed: (up: Vec3) => boolean,
  support: SupportOptions,
  looks = Infinity,
): Descent {
  let up = from;
  let left = looks;
  let volume = evaluateSupports(body, up, support).volumeMm3;
  let round = 0;
  for (let step = firstDeg; step >= lastDeg && volume > 0 && left >= WAYS; round++) {
    left -= WAYS;
    const { u, v } = frameOf(up);
    let better: Descent | null = null;
    for (let k = 0; k < WAYS; k++) {
      // Turned from round to round: a valley between the ways of one round lies along those of another.
      const a = (2 * Math.PI * (k + GOLDEN * round)) / WAYS;
      const s = Math.tan((step * Math.PI) / 180);
      const c = s * Math.cos(a);
      const d = s * Math.sin(a);
      const next = unit([
        up[0] + c * u[0] + d * v[0],
        up[1] + c * u[1] + d * v[1],
        up[2] + c * u[2] + d * v[2],
      ]);
      if (!next) continue;
      const there = evaluateSupports(body, next, support).volumeMm3;
      if (there < (better?.volume ?? volume * (1 - 1e-3)) && allowed(next))
        better = { up: next, volume: there };
    }
    if (better) ({ up, volume } = better);
    else step /= 2;
  }
  return { up, volume };
}

/** Directions in which a step is tried. */
const WAYS = 6;
const GOLDEN = 0.618;
