import * as z from 'zod';

const PRACTICE = 'Common practice, no source.';

/** How much each figure counts when one way up is chosen; each figure is scaled to 0..1 first. */
const weightsSchema = z
  .strictObject({
    support: z
      .number()
      .nonnegative()
      .default(5)
      .describe(
        `Support volume v against the volume h of the part's convex hull, as v / (v + h / 5). ${PRACTICE}`,
      ),
    scars: z
      .number()
      .nonnegative()
      .default(1)
      .describe(`Share of the surface that supports touch or stand on. ${PRACTICE}`),
    clean: z
      .number()
      .nonnegative()
      .default(4)
      .describe(`The same for the faces to keep clean, as a share of those. ${PRACTICE}`),
    stand: z
      .number()
      .nonnegative()
      .default(2)
      .describe(
        `Lack of steadiness: 1 at a least tip angle of 0 or less, 0 from 30 degrees. ${PRACTICE}`,
      ),
    grip: z
      .number()
      .nonnegative()
      .default(1)
      .describe(
        `Lack of contact: 1 minus the square root of contact area over the plan area of the part's convex hull. ${PRACTICE}`,
      ),
    height: z
      .number()
      .nonnegative()
      .default(1)
      .describe(`Height as a share of the part's longest extent: time and layers. ${PRACTICE}`),
    islands: z
      .number()
      .nonnegative()
      .default(0.5)
      .describe(`Pieces that begin in mid-air: n / (n + 3). ${PRACTICE}`),
    load: z
      .number()
      .nonnegative()
      .default(3)
      .describe(
        `Angle between the load and the layers, 1 when it pulls the layers apart; only with a load. ${PRACTICE}`,
      ),
  })
  .prefault({});

/** What a material changes; what is left out is the machine's own. */
const materialLimitsSchema = z.strictObject({
  selfSupportDeg: z.number().min(0).max(90).optional().describe(
    'Overhang angle from vertical up to which a facet carries itself, degrees.',
  ),
  bridgeMm: z.number().min(0).max(50).optional().describe(
    'Longest span printed in the air between two held ends, mm.',
  ),
  layerMm: z.number().positive().max(2).optional().describe('Layer height, mm.'),
}); // prettier-ignore

/** How ways up are judged; per machine, and per material where `materials` says so. */
export const orientSettingsSchema = z.strictObject({
  selfSupportDeg: z.number().min(0).max(90).default(45).describe(
    'Overhang angle from vertical up to which a facet carries itself, degrees. 45: five of seven published guides of print services and courses; Mazlan et al., JAITA (2020) 38-47, prints clean up to 45.',
  ),
  bridgeMm: z.number().min(0).max(50).default(5).describe(
    'Longest span printed in the air between two held ends, mm; 0 for none. Published guides name 5 to 20; the least of them.',
  ),
  layerMm: z.number().positive().max(2).default(0.2).describe(`Layer height, mm. ${PRACTICE}`),
  steadyDeg: z.number().min(0).max(89).default(10).describe(
    `Least tip angle at any height for a way up to count as steady, degrees. ${PRACTICE}`,
  ),
  densityGPerCm3: z.number().positive().default(1.24).describe(
    `Density of the material, g/cm3; 1.24 is usual for PLA. ${PRACTICE}`,
  ),
  bed: z
    .strictObject({
      axis: z.enum(['x', 'y', 'none']).default('y').describe(
        `Axis along which the bed carries the part; none where the bed moves up and down only. ${PRACTICE}`,
      ),
      accelerationMmPerS2: z.number().positive().default(3000).describe(
        `Greatest acceleration of the bed in travel moves, mm/s2. ${PRACTICE}`,
      ),
      adhesionKpa: z.number().nonnegative().default(0).describe(
        'Pull per area that the plate holds, kPa. 0, none counted: no stress figure was readable in Spoerk et al., Plast. Rubber Compos. 47 (2018) 17-24, which shows only that it rises strongly above the glass transition.',
      ),
      friction: z.number().nonnegative().nullable().default(null).describe(
        'Coefficient of friction between part and plate; null: sliding is not judged, no source.',
      ),
      heavyG: z.number().nonnegative().default(500).describe(
        `Mass from which the bed's moves are cautioned about, g. ${PRACTICE}`,
      ),
    })
    .prefault({}),
  materials: z.record(z.string().min(1), materialLimitsSchema).default({}).describe(
    'Self-support angle, bridge and layer height by material, such as { PETG: { bridgeMm: 8 } }; none by default: the published guides give one figure for all, and what a material changes is for your own test print to say.',
  ),
  weights: weightsSchema,
}); // prettier-ignore

export type OrientSettings = z.output<typeof orientSettingsSchema>;

export const DEFAULT_ORIENT_SETTINGS: OrientSettings = orientSettingsSchema.parse({});

/** The settings for one material: its own limits, where `materials` gives any, and its density. */
export function orientSettingsFor(
  settings: OrientSettings,
  material: string,
  densityGPerCm3 = settings.densityGPerCm3,
): OrientSettings {
  const wanted = material.toLowerCase();
  const name = Object.keys(settings.materials).find((key) => key.toLowerCase() === wanted);
  const { selfSupportDeg, bridgeMm, layerMm } = (name && settings.materials[name]) || {};
  return {
    ...settings,
    densityGPerCm3,
    ...(selfSupportDeg !== undefined && { selfSupportDeg }),
    ...(bridgeMm !== undefined && { bridgeMm }),
    ...(layerMm !== undefined && { layerMm }),
  };
}
