import type { Context } from '../context.ts';
import type { Quat, Vec3 } from '../math/index.ts';

/** From easiest for the maker to hardest. */
export type FitVerdict = 'fits' | 'fits-turned' | 'fits-tilted' | 'undecided' | 'too-big';

/**
 * Where a part stands in an envelope: p_machine = R(rotation) * p_part + translationMm, at scale 1.
 * Turns are the same rotation in degrees about the fixed axes, X first, then Y, then Z.
 */
export interface Placement {
  readonly rotation: Quat;
  readonly turnsDeg: Vec3;
  readonly translationMm: Vec3;
  /** Size of the turned part along the machine's axes, mm. */
  readonly sizeMm: Vec3;
  /** How far it can still be moved along the machine's X, Y and Z, mm; negative where too long. */
  readonly clearanceMm: Vec3;
}

/** Largest uniform scale at which the part fits; `proved` says if `atMost` is a certificate. */
export interface ScaleInterval {
  readonly atLeast: number;
  readonly atMost: number;
  readonly proved: boolean;
}

export interface Fit {
  readonly envelope: string;
  readonly verdict: FitVerdict;
  readonly scale: ScaleInterval;
  /** The placement of the verdict; for `too-big` the best found, which fits at `scale.atLeast`. */
  readonly placement: Placement;
  /** Proved: fewer pieces than this cannot all fit, however cut. */
  readonly piecesAtLeast: { readonly count: number; readonly because: string };
  /** Cells of the cover of all rotations that were bounded; 0 when no search was needed. */
  readonly cells: number;
}

/** What is known of a part beside its hull; each fact may allow a better bound on the pieces. */
export interface PartFacts {
  /** Volume of the material, mm3; only for a closed mesh. */
  readonly volumeMm3?: number;
  /** Whether the part hangs together in one piece; without it lengths prove nothing. */
  readonly connected?: boolean;
  /** Mean width of its hull, or of less than its hull, mm; found from the facets when they are given. */
  readonly meanWidthMm?: number;
}

export interface FitOptions extends Context {
  /** Relative width at which the scale interval is good enough. Default 0.001. */
  readonly precision?: number;
  /** Give up, honestly, after this many cells. Default 200000. */
  readonly maxCells?: number;
  readonly facts?: PartFacts;
}

/** Answer to the bare question whether something fits at its own size. */
export type FitDecision =
  | { readonly fits: true; readonly placement: Placement }
  /** Proved: at most this scale fits, below 1. */
  | { readonly fits: false; readonly atMost: number }
  | { readonly fits: null; readonly atMost: number };
