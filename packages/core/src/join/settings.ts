import { z } from 'zod';
import { FILAMENT_MM } from './stock.ts';

/** One dowel kind as written in the workshop file. */
export const stockItemSchema = z.strictObject({
  standard: z
    .enum(['ISO 2338', 'ISO 8734', 'DIN 68150', 'rod', 'tube', 'filament'])
    .describe('Standard or kind of the dowel'),
  material: z.enum(['steel', 'wood', 'plastic', 'aluminium']).default('steel').describe('Material'),
  diameterMm: z.number().positive().max(60).describe('Outside diameter, mm'),
  lengthMm: z
    .number()
    .positive()
    .nullable()
    .default(null)
    .describe('Length, mm; null for stock cut to length'),
  onHand: z
    .number()
    .nonnegative()
    .default(0)
    .describe('Pieces on hand; millimetres for stock cut to length'),
});

/**
 * Rules of the joint. Where a description says "handbook", several woodworking guides or guides to
 * printed parts agree on the figure; "common practice, no source" means what it says.
 */
export const joinSettingsSchema = z.strictObject({
  stock: z
    .array(stockItemSchema)
    .default([
      { standard: 'DIN 68150', material: 'wood', diameterMm: 10, lengthMm: 40, onHand: 0 },
      { standard: 'DIN 68150', material: 'wood', diameterMm: 8, lengthMm: 40, onHand: 0 },
      { standard: 'DIN 68150', material: 'wood', diameterMm: 8, lengthMm: 35, onHand: 0 },
      { standard: 'DIN 68150', material: 'wood', diameterMm: 6, lengthMm: 30, onHand: 0 },
      { standard: 'ISO 2338', material: 'steel', diameterMm: 5, lengthMm: 24, onHand: 0 },
      { standard: 'ISO 2338', material: 'steel', diameterMm: 4, lengthMm: 20, onHand: 0 },
      { standard: 'ISO 2338', material: 'steel', diameterMm: 3, lengthMm: 16, onHand: 0 },
      { standard: 'ISO 2338', material: 'steel', diameterMm: 2, lengthMm: 12, onHand: 0 },
      {
        standard: 'filament',
        material: 'plastic',
        diameterMm: FILAMENT_MM,
        lengthMm: null,
        onHand: 0,
      },
    ])
    .describe('Dowels on the shelf, any order'),
  holeClearanceMm: z
    .number()
    .min(0)
    .max(2)
    .default(0.2)
    .describe(
      'Hole larger than the dowel, on the diameter, mm; 0.2 joins filament parts (guides agree)',
    ),
  leastWallMm: z
    .number()
    .min(0)
    .default(2)
    .describe('Least wall between hole and skin, mm (common practice, no source)'),
  leastWallPerRadius: z
    .number()
    .min(0)
    .default(1)
    .describe(
      'Least wall as a multiple of the dowel radius; a boss of 2 d round a fastener in plastic (handbook)',
    ),
  depthPerDiameter: z
    .number()
    .min(0.5)
    .default(1.5)
    .describe('Least depth of dowel in each piece, diameters; locating pins want 1.5-2 d'),
  cutDepthPerDiameter: z
    .number()
    .min(0.5)
    .default(3)
    .describe('Wanted depth in each piece for stock cut to length, diameters (handbook: 3 d)'),
  glueGapMm: z
    .number()
    .min(0)
    .default(1.6)
    .describe('Hole deeper than the dowel in each piece, mm; 1/16 in of room for glue (handbook)'),
  dowelPitchMm: z
    .number()
    .positive()
    .default(120)
    .describe('A further dowel for every such length of face, mm (common practice, no source)'),
  dowelsMost: z
    .number()
    .int()
    .min(2)
    .max(12)
    .default(6)
    .describe('Most dowels in one region of a face'),
  keyMm: z
    .number()
    .positive()
    .default(2)
    .describe(
      'A wrong way of assembly must miss some hole by this much, mm (common practice, no source)',
    ),
  bondShearMPa: z
    .number()
    .positive()
    .default(3)
    .describe('Shear strength of the glued face, MPa; published 3.5-8.5 for bonded printed PLA'),
  safety: z.number().min(1).default(5).describe('Safety factor on every strength'),
  bearingMPa: z
    .number()
    .positive()
    .default(20)
    .describe('Bearing strength of the printed hole wall, MPa (from memory, no source)'),
  dowelShearMPa: z
    .strictObject({
      steel: z.number().positive().default(200).describe('MPa, mild steel (from memory)'),
      wood: z.number().positive().default(8).describe('MPa, beech across the grain (from memory)'),
      plastic: z.number().positive().default(20).describe('MPa, printed PLA (from memory)'),
      aluminium: z.number().positive().default(90).describe('MPa, soft alloy (from memory)'),
    })
    .prefault({})
    .describe('Shear strength of the dowel by material'),
});

export type JoinSettings = z.infer<typeof joinSettingsSchema>;

/** What a machine knows of joints. */
export const machineJoinSettingsSchema = z.strictObject({
  holeClearanceMm: z
    .number()
    .min(0)
    .max(2)
    .nullable()
    .default(null)
    .describe(
      'Holes printed on this machine: larger than the dowel, on the diameter, mm; null: as for the workshop',
    ),
});

/**
 * The settings of a joint whose pieces are printed on these machines. A dowel goes into both, so
 * the looser of their clearances holds.
 * @param ofMachine hole clearance by machine name, mm; null or missing: the workshop's
 */
export function settingsFor(
  settings: JoinSettings,
  machines: readonly string[],
  ofMachine: Readonly<Record<string, number | null>> = {},
): JoinSettings {
  if (machines.length === 0) return settings;
  const clearances = machines.map((name) => ofMachine[name] ?? settings.holeClearanceMm);
  return { ...settings, holeClearanceMm: Math.max(...clearances) };
}

/** The settings of a workshop that says nothing. */
export const JOIN_DEFAULTS: JoinSettings = joinSettingsSchema.parse({});

/** Least wall round a hole for a dowel of this diameter, mm. */
export const leastWall = (settings: JoinSettings, diameterMm: number): number =>
  Math.max(settings.leastWallMm, (settings.leastWallPerRadius * diameterMm) / 2);
