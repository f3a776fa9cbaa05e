import { STANDARD_GRAVITY } from '../units.ts';
import type { Dowel, Strength } from './schema.ts';
import type { JoinSettings } from './settings.ts';

export const STRENGTH_FORMULA =
  'glue = area x bond / safety; shear = sum(pi d^2 / 4 x shear strength) / safety; ' +
  'bearing = sum(d x least depth x bearing strength) / safety; ' +
  'allowed = max(glue, min(shear, bearing))';

export const STRENGTH_CAUTION =
  'An estimate from published figures for clean, well-glued faces; no promise. Not for anything ' +
  'that carries people, hangs overhead or could hurt someone by falling: test such joints, or ' +
  'carry the load on a rod.';

/**
 * What one joint may carry across its face, as an estimate. Glue and dowels are not added: glue is
 * far stiffer and breaks before the dowels take load, so the stronger of the two counts.
 * @param gluedMm2 face area less the holes
 * @param loadG mass hanging from the joint, g, if known
 */
export function jointStrength(
  gluedMm2: number,
  dowels: readonly Pick<
    Dowel,
    'diameterMm' | 'item' | 'depthBelowMm' | 'depthAboveMm' | 'lengthMm'
  >[],
  settings: JoinSettings,
  loadG: number | null = null,
): Strength {
  const { safety } = settings;
  const glueN = (gluedMm2 * settings.bondShearMPa) / safety;
  let shear = 0;
  let bearing = 0;
  for (const d of dowels) {
    shear += (Math.PI / 4) * d.diameterMm ** 2 * settings.dowelShearMPa[d.item.material];
    const depth = Math.min(d.depthBelowMm, d.depthAboveMm) - settings.glueGapMm;
    bearing += d.diameterMm * Math.max(0, depth) * settings.bearingMPa;
  }
  const dowelShearN = shear / safety;
  const bearingN = bearing / safety;
  const allowedN = Math.max(glueN, Math.min(dowelShearN, bearingN));
  const loadN = loadG === null ? null : (loadG / 1000) * STANDARD_GRAVITY;
  return {
    glueN,
    dowelShearN,
    bearingN,
    allowedN,
    formula: STRENGTH_FORMULA,
    loadN,
    margin: loadN !== null && loadN > 0 ? allowedN / loadN : null,
    caution: STRENGTH_CAUTION,
  };
}

/**
 * Peak over mean shear stress in a lap of two equal members (Volkersen 1938):
 * (w l / 2) coth(w l / 2) with w2 = 2 G / (E t e).
 * @param lap lapMm length, adhesive modulus gMPa and thickness glueMm, members' eMPa and thickMm
 */
export function lapShearPeak(lap: {
  readonly lapMm: number;
  readonly gMPa: number;
  readonly glueMm: number;
  readonly eMPa: number;
  readonly thickMm: number;
}): number {
  const half = (Math.sqrt((2 * lap.gMPa) / (lap.eMPa * lap.thickMm * lap.glueMm)) * lap.lapMm) / 2;
  return half > 0 ? half / Math.tanh(half) : 1;
}
