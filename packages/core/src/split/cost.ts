import type { SplitSettings } from './settings.ts';
import type { CostTerm } from './types.ts';

/** The measured values behind a plan's cost, each in its own unit. */
export interface CostValues {
  readonly seamMm: number;
  readonly seenMm: number;
  readonly stressMPa: number;
  readonly noDowelRegions: number;
  readonly sliverMm2: number;
  readonly thinWallMm: number;
  readonly offPlatePieces: number;
  readonly overhangMm2: number;
  readonly imbalance: number;
  readonly features: number;
  readonly brokenMirrors: number;
  readonly oddAngles: number;
  readonly looseBodies: number;
}

/** The terms with their weights; the total is in mm of visible seam. */
export function costTerms(
  v: CostValues,
  settings: SplitSettings,
): { readonly total: number; readonly terms: readonly CostTerm[] } {
  const w = settings.weights;
  const term = (name: string, value: number, unit: string, weight: number): CostTerm => ({
    name,
    value,
    unit,
    weight,
    cost: value * weight,
  });
  const terms = [
    term('seam', v.seamMm, 'mm', w.seam),
    term('seenSeam', v.seenMm, 'mm', w.seenSeam),
    term('stress', v.stressMPa, 'MPa', w.stress),
    term('noDowel', v.noDowelRegions, 'region', w.noDowel),
    term('sliver', v.sliverMm2, 'mm2', w.sliver),
    term('thinWall', v.thinWallMm, 'mm', w.thinWall),
    term('offPlate', v.offPlatePieces, 'piece', w.offPlate),
    term('overhang', v.overhangMm2, 'mm2', w.overhang),
    term('imbalance', v.imbalance, '1', w.imbalance),
    term('feature', v.features, 'feature', w.feature),
    term('asymmetry', v.brokenMirrors, 'plane', w.asymmetry),
    term('oddAngle', v.oddAngles, 'cut', w.oddAngle),
    term('looseBody', v.looseBodies, 'body', w.looseBody),
  ];
  return { total: terms.reduce((sum, t) => sum + t.cost, 0), terms };
}
