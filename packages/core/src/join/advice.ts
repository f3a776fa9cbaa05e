import type { Advice } from './schema.ts';
import type { JoinSettings } from './settings.ts';

/** Scarf of 8 times the thickness: the usual slope in woodworking (from memory, no source). */
const SCARF_SLOPE = 8;
/** A backing strip reaches 5 wall thicknesses, at least 10 mm, to each side (common practice, no source). */
const STRIP_REACH = { perThickness: 5, leastMm: 10 } as const;
/** Below this nothing sold as a pin is worth drilling for, mm (common practice, no source). */
const THINNEST_PIN_MM = 1;

const mm = (x: number): string => (Math.round(x * 10) / 10).toString();

/** Thickest dowel whose hole keeps its wall in a circle of this radius, mm; 0 or less if none. */
export function thickestDowel(radiusMm: number, s: JoinSettings): number {
  const room = radiusMm - s.holeClearanceMm / 2;
  const byRadius = (2 * room) / (1 + s.leastWallPerRadius);
  return Math.min(byRadius, 2 * (room - s.leastWallMm));
}

export interface BareRegion {
  readonly areaMm2: number;
  readonly thickestMm: number;
  readonly meanThicknessMm: number;
}

/**
 * What to do with a region that takes no dowel, and why, in numbers.
 * @param tried the thinnest dowel on the shelf, mm, or null for an empty shelf
 */
export function adviseBare(region: BareRegion, tried: number | null, s: JoinSettings): Advice[] {
  const advice: Advice[] = [];
  const most = thickestDowel(region.thickestMm / 2, s);
  const wall = (d: number): number => Math.max(s.leastWallMm, (s.leastWallPerRadius * d) / 2);
  if (tried !== null) {
    const needs = tried + s.holeClearanceMm + 2 * wall(tried);
    const thin = region.thickestMm < needs;
    const why = thin
      ? `at its thickest the material is ${mm(region.thickestMm)} mm and a ${mm(tried)} mm dowel with its walls needs ${mm(needs)} mm`
      : `the face is thick enough (${mm(region.thickestMm)} mm) but no hole of ${mm(s.depthPerDiameter)} d keeps its wall all along`;
    if (most >= THINNEST_PIN_MM && (!thin || most < tried))
      advice.push({
        kind: 'thinner-pin',
        words: `No dowel fits: ${why}. ${thin ? `A pin of ${mm(Math.floor(most * 10) / 10)} mm or less would.` : 'Try a shorter or thinner pin.'}`,
        sizeMm: [most],
      });
    else
      advice.push({
        kind: 'glue-only',
        words: `No dowel fits: ${why}. Glue only, and hold the pieces in line while it sets.`,
        sizeMm: [],
      });
  }
  const t = region.meanThicknessMm;
  const length = region.areaMm2 / Math.max(t, 1e-9);
  if (length > 6 * t) {
    const width = 2 * Math.max(STRIP_REACH.leastMm, STRIP_REACH.perThickness * t);
    const thick = Math.max(t, s.leastWallMm);
    advice.push({
      kind: 'backing-strip',
      words: `Glue a backing strip ${mm(width)} mm wide and ${mm(thick)} mm thick across the seam behind the wall, ${mm(length)} mm long in all.`,
      sizeMm: [width, thick, length],
    });
  } else
    advice.push({
      kind: 'scarf',
      words: `Or cut it aslant: a scarf ${mm(SCARF_SLOPE * t)} mm long, ${SCARF_SLOPE} times the thickness, gives that much more to glue.`,
      sizeMm: [SCARF_SLOPE * t],
    });
  const glueN = (region.areaMm2 * s.bondShearMPa) / s.safety;
  advice.push({
    kind: 'glue-only',
    words: `Glue alone is estimated to carry ${mm(glueN)} N here (${mm(region.areaMm2)} mm2 x ${s.bondShearMPa} MPa / ${s.safety}).`,
    sizeMm: [],
  });
  return advice;
}
