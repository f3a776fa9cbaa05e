import { dot } from '../math/index.ts';
import type { Figures } from './measure.ts';
import type { Part } from './part.ts';
import type { OrientSettings } from './settings.ts';

/** Tip angle from which more brings nothing, degrees. */
const FIRM_DEG = 30;

/** The figures that count, lower being better but for the tip angle and the contact. */
export interface Marks {
  readonly supportMm3: number;
  readonly scarsMm2: number;
  readonly cleanMm2: number;
  readonly tipDeg: number;
  readonly contactMm2: number;
  readonly heightMm: number;
  readonly islands: number;
  readonly loadDeg: number;
}

export const marksOf = (f: Figures): Marks => ({
  supportMm3: f.supports.volumeMm3,
  scarsMm2: f.supports.touchedMm2 + f.supports.standingOnPartMm2,
  cleanMm2: f.supports.cleanTouchedMm2 ?? 0,
  tipDeg: f.stability.leastTipDeg,
  contactMm2: f.contact.areaMm2,
  heightMm: f.heightMm,
  islands: f.islands.count,
  loadDeg: f.loadToLayersDeg ?? 0,
});

/**
 * Weighted sum of a way up's shortcomings, each scaled to 0..1 by sizes of the part that no turn
 * changes, so that the score of a direction does not depend on what else was tried.
 */
export function scoreOf(part: Part, m: Marks, weights: OrientSettings['weights']): number {
  const plan = Math.max(1e-300, (Math.PI / 4) * part.extentMm * part.extentMm);
  return (
    weights.support * (m.supportMm3 / (m.supportMm3 + part.hullVolumeMm3 / 5)) +
    weights.scars * clamp(m.scarsMm2 / part.areaMm2) +
    weights.clean * (part.cleanAreaMm2 > 0 ? clamp(m.cleanMm2 / part.cleanAreaMm2) : 0) +
    weights.stand * (1 - clamp(m.tipDeg / FIRM_DEG)) +
    weights.grip * (1 - Math.sqrt(clamp(m.contactMm2 / plan))) +
    weights.height * clamp(m.heightMm / part.extentMm) +
    weights.islands * (m.islands / (m.islands + 3)) +
    weights.load * (m.loadDeg / 90)
  );
}

const clamp = (x: number): number => Math.max(0, Math.min(1, x));

/** What a way up can be best at; `of` is better when lower. */
interface Aim {
  readonly phrase: string;
  readonly of: (m: Marks, part: Part) => number;
  /** Differences below a small share of this measure of the part are none. */
  readonly unit: (part: Part) => number;
}

const AIMS: readonly Aim[] = [
  // By ratio, so that of a large thin part half a percent counts too; but for crumbs.
  { phrase: 'least support', of: (m, p) => Math.log(m.supportMm3 + p.hullVolumeMm3 / 2000), unit: () => 2.5 },
  { phrase: 'cleanest faces', of: (m) => m.cleanMm2, unit: (p) => Math.max(p.cleanAreaMm2, 1) },
  { phrase: 'fewest scars', of: (m) => m.scarsMm2, unit: (p) => p.areaMm2 },
  { phrase: 'layers along the load', of: (m) => m.loadDeg, unit: () => 90 },
  { phrase: 'firmest stand', of: (m) => -m.tipDeg, unit: () => 90 },
  { phrase: 'lowest', of: (m) => m.heightMm, unit: (p) => p.extentMm },
  { phrase: 'largest contact', of: (m) => -m.contactMm2, unit: (p) => p.areaMm2 },
]; // prettier-ignore

/** Two figures closer than this share of the part's measure count as equal. */
const EQUAL_SHARE = 0.002;
/** So much less support is worth a line of its own. */
const LEANER = 0.005;
/** Ways up closer than this are the same way, degrees. */
const APART_DEG = 10;

export interface Scored {
  readonly figures: Figures;
  readonly marks: Marks;
  readonly score: number;
}

export function score(part: Part, figures: Figures, weights: OrientSettings['weights']): Scored {
  const marks = marksOf(figures);
  return { figures, marks, score: scoreOf(part, marks, weights) };
}

/** Ways up that no other beats or equals in everything while beating it in something. */
export function paretoFront(part: Part, all: readonly Scored[]): Scored[] {
  const marks = all.map((s) => AIMS.map((aim) => aim.of(s.marks, part) / aim.unit(part)));
  return all.filter((_, i) => {
    const mine = marks[i] as number[];
    return !marks.some((other, j) => {
      if (i === j) return false;
      let better = false;
      for (let k = 0; k < mine.length; k++) {
        const d = (other[k] as number) - (mine[k] as number);
        if (d > EQUAL_SHARE) return false;
        if (d < -EQUAL_SHARE) better = true;
      }
      return better;
    });
  });
}

/**
 * The choice: the best score among the steady ones; without any, among those that at least do not
 * fall by themselves; else among all.
 */
export function chooseOne(all: readonly Scored[]): Scored | undefined {
  const steady = all.filter((s) => s.figures.steady);
  const standing = all.filter((s) => s.marks.tipDeg > 0);
  const field = steady.length > 0 ? steady : standing.length > 0 ? standing : all;
  return [...field].sort((a, b) => a.score - b.score)[0];
}

/** The choice, then the winner of each aim, then the rest by score: `count` that really differ. */
export function pickDifferent(part: Part, all: readonly Scored[], count: number): Scored[] {
  const front = paretoFront(part, all);
  const choice = chooseOne(front.some((s) => s.figures.steady) ? front : all);
  if (!choice) return [];
  const byScore = [...front].sort((a, b) => a.score - b.score);
  const winners = AIMS.flatMap((aim) => {
    const values = byScore.map((s) => aim.of(s.marks, part));
    const least = Math.min(...values);
    const slack = EQUAL_SHARE * aim.unit(part);
    if (Math.max(...values) - least <= slack) return [];
    return byScore.filter((_, i) => (values[i] as number) <= least + slack).slice(0, 1);
  });
  const picked: Scored[] = [choice];
  // The way of least support is listed whatever else it lacks, and however near it lies to the
  // choice: that is what people ask for.
  const leanest = [...all].sort((a, b) => a.marks.supportMm3 - b.marks.supportMm3)[0];
  if (leanest && leanest.marks.supportMm3 < (1 - LEANER) * choice.marks.supportMm3 && count > 1)
    picked.push(leanest);
  for (const s of [...winners, ...byScore]) {
    if (picked.length >= count) break;
    if (picked.every((p) => differs(part, p, s))) picked.push(s);
  }
  return picked;
}

function differs(part: Part, a: Scored, b: Scored): boolean {
  if (dot(a.figures.up, b.figures.up) > Math.cos((APART_DEG * Math.PI) / 180)) return false;
  return AIMS.some(
    (aim) => Math.abs(aim.of(a.marks, part) - aim.of(b.marks, part)) > EQUAL_SHARE * aim.unit(part),
  );
}

/** Phrases of what each is best at among those given; the first, the choice, is `best overall`. */
export function bestAt(part: Part, picked: readonly Scored[]): string[][] {
  const phrases: string[][] = picked.map((_, i) => (i === 0 ? ['best overall'] : []));
  if (picked.length < 2) return phrases;
  for (const aim of AIMS) {
    const values = picked.map((s) => aim.of(s.marks, part));
    const least = Math.min(...values);
    const slack = EQUAL_SHARE * aim.unit(part);
    if (Math.max(...values) - least <= slack) continue;
    const winner = values.findIndex((v) => v <= least + slack);
    (phrases[winner] as string[]).push(aim.phrase);
  }
  return phrases.map((list) => (list.length > 0 ? list : ['a compromise']));
}
