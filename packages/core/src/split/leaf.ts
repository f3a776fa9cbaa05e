import type { Plane } from '../mesh/index.ts';
import type { Vec3 } from '../math/index.ts';
import { bodyVolume, clipBody, skinPoints, type Body } from './body.ts';
import type { Candidates } from './directions.ts';
import type { Feature } from './features.ts';
import type { Effort, Judge } from './judge.ts';
import type { KeepZone } from './keep.ts';
import type { SidedPlane } from './seam.ts';
import type { SplitSettings } from './settings.ts';

/** What the whole search of one part shares. */
export interface Task {
  readonly settings: SplitSettings;
  readonly candidates: Candidates;
  readonly judge: Judge;
  /** The part in few facets, for looking into many planes at once; made when first asked for. */
  readonly sketch: () => Body;
  /** In still fewer, for moving planes about. */
  readonly rough: () => Body;
  readonly features: readonly Feature[];
  readonly keep: readonly KeepZone[];
  readonly seenFrom: Vec3 | null;
  /** Separate bodies in the part as it comes. */
  readonly bodies: number;
  /** Proved: fewer pieces cannot all fit. */
  readonly least: number;
  /** Pieces wanted at least, whether they fit sooner or not. */
  readonly wanted: number;
  readonly signal: AbortSignal | undefined;
  /** How sure it must be that a piece fits. Default `quick`. */
  readonly effort?: Effort;
}

/** A plane, and where its direction came from. */
export interface Cut extends Plane {
  readonly origin: string;
}

/** A piece in the making: what some half-spaces leave of the (coarser) part. */
export interface Leaf {
  readonly body: Body;
  readonly within: readonly SidedPlane[];
  /** How many pieces it will take, as far as known: 1 means that it fits. */
  readonly count: number;
  readonly volumeMm3: number;
}

/** A plan in the making. */
export type Draft = Leaf | Fork;

export interface Fork {
  readonly cut: Cut;
  /** What is cut here. */
  readonly leaf: Leaf;
  readonly below: Draft;
  readonly above: Draft;
}

export const isFork = (draft: Draft): draft is Fork => 'cut' in draft;

export function leavesOf(draft: Draft): Leaf[] {
  return isFork(draft) ? [...leavesOf(draft.below), ...leavesOf(draft.above)] : [draft];
}

export function cutsOf(draft: Draft): Cut[] {
  return isFork(draft) ? [draft.cut, ...cutsOf(draft.below), ...cutsOf(draft.above)] : [];
}

/** The draft with one leaf replaced. */
export function replaceLeaf(draft: Draft, leaf: Leaf, by: Draft): Draft {
  if (draft === leaf) return by;
  if (!isFork(draft)) return draft;
  const below = replaceLeaf(draft.below, leaf, by);
  const above = below === draft.below ? replaceLeaf(draft.above, leaf, by) : draft.above;
  return below === draft.below && above === draft.above ? draft : { ...draft, below, above };
}

/** Guesses worth a closer look: with more pieces than this a tilt will not make it one. */
const CLOSER_LOOK = 4;

export function makeLeaf(body: Body, within: readonly SidedPlane[], task: Task): Leaf {
  const points = skinPoints(body);
  let count = task.judge.count(points, task.candidates.frames);
  if (
    count > 1 &&
    count <= CLOSER_LOOK &&
    task.judge.likely(points, task.candidates.frames, task.effort)
  )
    count = 1;
  return { body, within, count, volumeMm3: Math.abs(bodyVolume(body)) };
}

/** Both sides of a leaf as leaves; null where the plane leaves one side without material. */
export function cutLeaf(leaf: Leaf, cut: Plane, task: Task): { below: Leaf; above: Leaf } | null {
  const { below, above } = clipBody(leaf.body, cut.normal, cut.offsetMm);
  if (!below || !above) return null;
  const plane = { normal: cut.normal, offsetMm: cut.offsetMm };
  return {
    below: makeLeaf(below, [...leaf.within, { plane, side: 'below' }], task),
    above: makeLeaf(above, [...leaf.within, { plane, side: 'above' }], task),
  };
}

/** What is left of the sketch in a leaf; null when nothing. */
export function sketchOf(leaf: Leaf, task: Task): Body | null {
  let body: Body | null = task.sketch();
  for (const { plane, side } of leaf.within)
    body = body && clipBody(body, plane.normal, plane.offsetMm)[side];
  return body;
}
