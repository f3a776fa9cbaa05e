import { checkCancelled, type Context } from '../context.ts';
import type { Envelope } from '../envelope/index.ts';
import type { Placement } from '../fit/index.ts';
import { unit, type Vec3 } from '../math/index.ts';
import type { Mesh } from '../mesh/index.ts';
import { ScantlingError } from '../errors.ts';
import type { Candidate } from './candidates.ts';
import { measureWay, type Figures, type MeasureOptions } from './measure.ts';
import { preparePart, type Part } from './part.ts';
import { placeUp } from './place.ts';
import type { OrientResult, WayUp } from './result.ts';
import { bestAt, chooseOne, pickDifferent, score, type Scored } from './score.ts';
import {
  candidatesOf,
  rankRoughly,
  refine,
  refineLeast,
  type Ranked,
  type SearchOptions,
} from './search.ts';
import { DEFAULT_ORIENT_SETTINGS, type OrientSettings } from './settings.ts';
import { evaluateSupports } from './supports.ts';
import type { CleanFaces } from './clean.ts';

export interface OrientOptions extends Context {
  /** Limits of machine and material, and what counts how much. Default: all defaults. */
  readonly settings?: OrientSettings;
  /** How many ways up to list at most. Default 5. */
  readonly count?: number;
  /** A coarser search for pieces on the way: fewer directions, one answer. Default false. */
  readonly quick?: boolean;
  /** Faces to keep without scars. */
  readonly clean?: CleanFaces;
  /** Direction in part coordinates along which the part is loaded in use. */
  readonly load?: Vec3;
  /** Mass of the printed part, g. Default: as if printed solid. */
  readonly massG?: number;
  /** Further ways up worth trying, such as that of a known placement; part coordinates. */
  readonly alsoTry?: readonly Vec3[];
}

const AS_MODELLED: Vec3 = [0, 0, 1];

/**
 * The ways up of a part that are worth printing, the recommended one first.
 *
 * Directions tried: as in the file, all faces the part stands on by itself, flat faces and clusters
 * of normals up and down, 642 even directions, and small turns about those with least support.
 * All are ranked on a coarse twin; the best are measured on the part itself. Only ways up that
 * some turn about the vertical places inside the envelope are listed. Angles in degrees; each
 * listed way carries its placement: p_machine = R(rotation) p_part + translationMm.
 *
 * The choice is the least weighted score (`settings.weights`) among the ways that stand steadily;
 * if none does, a caution says so. Same input, same bytes; nothing is random.
 *
 * @throws ScantlingError `NO_FACETS`, `FLAT_PART`; `NON_FINITE` for a bad vertex; `CANCELLED`;
 *   `BAD_DIRECTION` for a load, clean or extra direction without length
 */
export function rankOrientations(
  mesh: Mesh,
  envelope: Envelope,
  options: OrientOptions = {},
): OrientResult {
  const settings = options.settings ?? DEFAULT_ORIENT_SETTINGS;
  const quick = options.quick ?? false;
  const count = options.count ?? (quick ? 1 : 5);
  const load = options.load ? direction(options.load, 'load') : null;
  const clean = options.clean && {
    ...options.clean,
    directions: options.clean.directions.map((d) => direction(d, 'clean')),
  };
  const alsoTry = (options.alsoTry ?? []).map((d) => direction(d, 'extra'));
  options.progress?.(0, 'prepare');
  const part = preparePart(mesh, quick, clean);
  const search: SearchOptions = { ...options, settings, load, quick, alsoTry };
  const places = placesIn(part, envelope);

  options.progress?.(0.15, 'rank directions');
  const candidates = candidatesOf(part, search);
  const ranked = rankRoughly(part, candidates, search);
  options.progress?.(0.45, 'refine');
  const refined = refine(part, ranked, (up) => places.at(up) !== null, search);

  const measuring: MeasureOptions = { settings, load, massG: options.massG ?? null, brief: true };
  const asModelled: Candidate = {
    up: AS_MODELLED, from: 'as-modelled', tipDeg: null, contactMm2: 0,
  }; // prettier-ignore
  const shortlist = [asModelled, ...shortlistOf(ranked, refined, places, quick)];
  const measure = (c: Candidate, brief: boolean): Scored | null => {
    checkCancelled(options);
    const place = places.at(c.up);
    if (place === null) return null;
    const figures = measureWay(part, c, place, { ...measuring, brief });
    return score(part, figures, settings.weights);
  };
  options.progress?.(0.6, 'measure');
  const brief = shortlist.flatMap((c) => measure(c, true) ?? []);
  const [leanest] = [...brief].sort((a, b) => a.marks.supportMm3 - b.marks.supportMm3);
  if (leanest && !quick && leanest.marks.supportMm3 > 0) {
    const placed = (up: Vec3): boolean => places.at(up) !== null;
    const leaner = measure(refineLeast(part, leanest.figures.up, placed, search), true);
    if (leaner) brief.push(leaner);
  }
  // One more than asked for: the full figures may reorder them.
  const finalists = pickDifferent(part, brief, count + (quick ? 0 : 1));
  options.progress?.(0.8, 'measure the best');
  const full = (s: Scored): Scored =>
    measure({ ...s.figures, tipDeg: null, contactMm2: 0 }, false) as Scored;
  const settled = settle(finalists.map(full), brief, full).slice(0, count);
  const phrases = bestAt(part, settled);
  const ways = settled.map((s, i): WayUp => wayUp(s, phrases[i] as string[]));

  const modelled =
    ways.find((w) => w.from === 'as-modelled') ??
    (places.at(AS_MODELLED) === null ? null : wayUp(measure(asModelled, false) as Scored, []));
  const asModelledSupportsMm3 =
    modelled?.supports.volumeMm3 ?? evaluateSupports(part.body, AS_MODELLED, settings).volumeMm3;
  const choice = ways[0];
  options.progress?.(1, 'done');
  return {
    schema: 'scantling/orient@1',
    envelope: envelope.name,
    closed: part.closed,
    volumeMm3: part.volumeMm3,
    massG:
      options.massG ??
      (part.volumeMm3 === null ? null : (part.volumeMm3 * settings.densityGPerCm3) / 1000),
    asModelled: modelled,
    asModelledSupportsMm3,
    ways,
    savingMm3: choice ? asModelledSupportsMm3 - choice.supports.volumeMm3 : null,
    cautions: cautionsOf(part, ways, settings),
    tried: {
      directions: candidates.length + 1,
      measured: brief.length,
      unplaceable: places.refused(),
    },
  };
}

/** Supports as modelled and at best, in one short record: a column of the scan. */
export interface OrientSummary {
  readonly asModelledMm3: number;
  /** Null when no way up has a place in the envelope. */
  readonly bestMm3: number | null;
  readonly turnsDeg: Vec3 | null;
  readonly steady: boolean | null;
}

/**
 * Supports as modelled, and least among the steady ways up of the ranking's front (of all of them
 * when none is steady).
 * @throws as `rankOrientations`
 */
export function orientSummary(
  mesh: Mesh,
  envelope: Envelope,
  settings: OrientSettings = DEFAULT_ORIENT_SETTINGS,
  context: Context = {},
): OrientSummary {
  const result = rankOrientations(mesh, envelope, { ...context, settings, count: 8 });
  const steady = result.ways.filter((way) => way.steady);
  const [best] = (steady.length > 0 ? steady : [...result.ways]).sort(
    (a, b) => a.supports.volumeMm3 - b.supports.volumeMm3,
  );
  return {
    asModelledMm3: result.asModelledSupportsMm3,
    bestMm3: best?.supports.volumeMm3 ?? null,
    turnsDeg: best?.turnsDeg ?? null,
    steady: best?.steady ?? null,
  };
}

interface Places {
  readonly at: (up: Vec3) => Placement | null;
  /** Directions asked for and found without a place. */
  readonly refused: () => number;
}

function placesIn(part: Part, envelope: Envelope): Places {
  const known = new Map<string, Placement | null>();
  let refused = 0;
  return {
    at: (up) => {
      const key = up.join();
      let place = known.get(key);
      if (place === undefined) {
        place = placeUp(part.hull, up, envelope);
        if (place === null) refused++;
        known.set(key, place);
      }
      return place;
    },
    refused: () => refused,
  };
}

/** The most promising by every figure that is known so far, each with a place in the envelope. */
function shortlistOf(
  ranked: readonly Ranked[],
  refined: readonly Candidate[],
  places: Places,
  quick: boolean,
): Candidate[] {
  const list = new Set<Candidate>();
  const take = (from: readonly Candidate[], most: number): void => {
    let left = most;
    for (const c of from) {
      if (left === 0) break;
      if (list.has(c)) left--;
      else if (places.at(c.up) !== null) {
        list.add(c);
        left--;
      }
    }
  };
  const by = (of: (r: Ranked) => number): Candidate[] =>
    [...ranked].sort((a, b) => of(a) - of(b) || a.score - b.score).map((r) => r.candidate);
  take(ranked.map((r) => r.candidate), quick ? 3 : 8); // prettier-ignore
  take(refined, quick ? 1 : 8);
  take(
    ranked.map((r) => r.candidate).filter((c) => c.mild),
    quick ? 1 : 2,
  );
  take(by((r) => -r.marks.tipDeg), 1); // prettier-ignore
  if (quick) return [...list];
  take(by((r) => r.marks.supportMm3), 2); // prettier-ignore
  take(by((r) => r.marks.scarsMm2), 1); // prettier-ignore
  take(by((r) => r.marks.cleanMm2), 1); // prettier-ignore
  take(by((r) => r.marks.loadDeg), 1); // prettier-ignore
  take(by((r) => r.marks.heightMm), 1); // prettier-ignore
  return [...list];
}

/** Puts the choice first; if what grew unsteady leaves none, looks further among the rest. */
function settle(
  finalists: readonly Scored[],
  rest: readonly Scored[],
  full: (s: Scored) => Scored,
): Scored[] {
  let all = [...finalists];
  if (!all.some((s) => s.figures.steady)) {
    const others = rest
      .filter(
        (s) => s.figures.steady && !all.some((f) => f.figures.up.join() === s.figures.up.join()),
      )
      .sort((a, b) => a.score - b.score);
    for (const s of others) {
      const measured = full(s);
      all = [...all, measured];
      if (measured.figures.steady) break;
    }
  }
  const choice = chooseOne(all);
  if (!choice) return [];
  return [choice, ...all.filter((s) => s !== choice).sort((a, b) => a.score - b.score)];
}

const wayUp = (s: Scored, phrases: string[]): WayUp => ({
  ...(s.figures satisfies Figures),
  bestAt: phrases,
  score: s.score,
});

function direction(v: Vec3, what: string): Vec3 {
  const u = unit(v);
  if (!u)
    throw new ScantlingError(
      'BAD_DIRECTION',
      `The ${what} direction ${v.join(',')} has no length.`,
      {
        remedy: 'Give three numbers that are not all 0.',
      },
    );
  return u;
}

function cautionsOf(part: Part, ways: readonly WayUp[], settings: OrientSettings): string[] {
  const choice = ways[0];
  const cautions: string[] = [];
  if (!part.closed)
    cautions.push(
      'The mesh is open: its volume and mass are unknown, its centre is taken from the hull, and supports are estimates.',
    );
  if (!choice) {
    cautions.push('No way up that was tried has a place in the envelope.');
    return cautions;
  }
  if (!choice.steady)
    cautions.push(
      `No way up that was measured stands steadily: the first ${choice.stability.leastTipDeg > 0 ? `tips at ${choice.stability.leastTipDeg.toFixed(1)} degrees` : 'falls by itself'} at a height of ${choice.stability.leastAtMm.toFixed(0)} mm. Hold it with supports or a brim.`,
    );
  // Half the supports is worth a word, even where it costs steadiness.
  const leaner = ways.find(
    (w) =>
      !w.steady && w.supports.volumeMm3 < choice.supports.volumeMm3 / 2 - part.hullVolumeMm3 / 100,
  );
  if (choice.steady && leaner)
    cautions.push(
      `Another way up listed needs far less support, ${(leaner.supports.volumeMm3 / 1000).toFixed(1)} instead of ${(choice.supports.volumeMm3 / 1000).toFixed(1)} cm3, but does not stand steadily without it.`,
    );
  if (choice.bed?.caution && choice.bed.slowFromMm !== null)
    cautions.push(
      `Heavy part on a moving bed: slow all moves, travel too, ${choice.bed.slowFromMm > 0 ? `from ${choice.bed.slowFromMm.toFixed(0)} mm up` : 'from the first layer'}: an edge lifts at ${choice.bed.liftsAtMmPerS2.toFixed(0)} mm/s2, the machine is set to ${settings.bed.accelerationMmPerS2}. An estimate: rigid block, ${settings.bed.adhesionKpa > 0 ? `adhesion ${settings.bed.adhesionKpa} kPa` : 'no adhesion counted'}.`,
    );
  return cautions;
}
