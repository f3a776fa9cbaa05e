import * as z from 'zod';

const number = z.number();
const point3 = z.tuple([number, number, number]);
const mm = (what: string) => number.describe(`${what}, mm`);
const mm2 = (what: string) => number.describe(`${what}, mm2`);
const mm3 = (what: string) => number.describe(`${what}, mm3`);
const deg = (what: string) => number.describe(`${what}, degrees`);

const supportsSchema = z.strictObject({
  volumeMm3: mm3('Supports down to the plate or the part below, bridges left out'),
  bridgedMm3: mm3('Supports that bridges spare'),
  errorMm3: mm3('Sampling error seen'),
  touchedMm2: mm2('Surface that supports hold up'),
  standingOnPartMm2: mm2('Plan area of supports that stand on the part itself'),
  cleanTouchedMm2: mm2('Of both, what lies on faces to keep clean').nullable(),
  largestOverhangDeg: deg('Largest overhang off the plate: 0 a wall, 90 a ceiling'),
  massG: number.describe('Mass if supports were solid, g: an upper bound'),
});

const bedSchema = z.strictObject({
  axis: z.enum(['x', 'y']),
  accelerationMmPerS2: number.describe("The machine's greatest bed acceleration, mm/s2"),
  liftsAtMmPerS2: number.describe('Least acceleration that starts to lift an edge, mm/s2'),
  tipsAtMmPerS2: number.describe('Least acceleration that topples the part, mm/s2'),
  slidesAtMmPerS2: number.nullable().describe('The same for sliding, mm/s2; null: not judged'),
  slowFromMm: number
    .nullable()
    .describe('Height from which to slow the bed down, mm; null: never needed'),
  caution: z.boolean().describe('Heavy, and slower moves are needed before it is finished'),
  basis: z.literal('estimate: rigid block on an accelerating plate'),
});

export const wayUpSchema = z.strictObject({
  up: point3.describe('Direction in part coordinates that points up on the machine, length 1'),
  rotation: z.tuple([number, number, number, number]).describe('Unit quaternion x, y, z, w'),
  turnsDeg: point3.describe('Turns about the fixed axes, X first, then Y, then Z, degrees'),
  translationMm: point3.describe('Move after the turns, mm'),
  sizeMm: point3.describe('Size along the axes of the machine, mm'),
  bestAt: z.array(z.string()).describe('What this way up is best at among those listed'),
  score: number.describe('Weighted sum of the shortcomings; lower is better'),
  from: z.enum(['as-modelled', 'resting-face', 'flat-face', 'grid', 'refined']),
  rests: z.enum(['face', 'edge', 'point']),
  steady: z.boolean().describe('Least tip angle at any height is at least the one asked for'),
  supports: supportsSchema,
  bridges: z.strictObject({
    areaMm2: mm2('Plan area printed in the air between held ends'),
    longestMm: mm('Longest span among them'),
  }),
  contact: z.strictObject({
    areaMm2: mm2('Area on the plate'),
    circleDiameterMm: mm('Diameter of the largest circle inside it'),
  }),
  islands: z.strictObject({
    count: number.describe(
      'Pieces that begin in mid-air, an estimate: counted at the dips of the mesh',
    ),
    firstAtMm: z.array(number).describe('Heights of the lowest of them, at most eight, mm'),
  }),
  heightMm: mm('Height'),
  layers: number.describe('Number of layers, at the layer height of the settings'),
  stability: z
    .strictObject({
      tipDeg: deg('Tip angle of the finished part; negative if it falls by itself'),
      leastTipDeg: deg('Least tip angle while it grows'),
      leastAtMm: mm('Height at which it is least'),
      byHeight: z.array(z.strictObject({ heightMm: mm('Height'), tipDeg: deg('Tip angle') })),
      centreFrom: z
        .enum(['volume', 'hull'])
        .describe('hull: the mesh is open, its centre of mass is unknown and the hull stands in'),
    })
    .describe('The part alone: what supports add is not counted'),
  loadToLayersDeg: number
    .nullable()
    .describe('Angle between the load and the layers, degrees: 0 good, 90 pulls them apart'),
  bed: bedSchema.nullable(),
});

export const orientSchema = z.strictObject({
  schema: z.literal('scantling/orient@1'),
  envelope: z.string().describe('Name of the build envelope'),
  closed: z.boolean().describe('false: no volume or mass can be given'),
  volumeMm3: number.nullable().describe('Volume, mm3; null for an open mesh'),
  massG: number.nullable().describe('Mass if printed solid, g, or as given; null if unknown'),
  asModelled: wayUpSchema
    .nullable()
    .describe('As in the file, placed by turning about the vertical; null if it does not fit so'),
  asModelledSupportsMm3: mm3('Supports as modelled, whether or not it fits so'),
  ways: z.array(wayUpSchema).describe('The choice first, then the others by score'),
  savingMm3: number.nullable().describe('Supports as modelled minus those of the choice, mm3'),
  cautions: z.array(z.string()),
  tried: z.strictObject({
    directions: number.describe('Directions ranked roughly'),
    measured: number.describe('Directions measured in full'),
    unplaceable: number.describe('Promising directions without a place in the envelope'),
  }),
});

const grams = (what: string) => number.describe(`${what}, g`);
const hours = (what: string) => number.describe(`${what}, h`);

/** What printing one way up takes; an estimate. */
export const wayTakesSchema = z.strictObject({
  massG: grams('Filament in all, supports among it'),
  supportsG: grams('Filament of the supports, sparse as they are printed'),
  hours: z.strictObject({ low: hours('Low'), likely: hours('Likely'), high: hours('High') }),
});

/** What `scantling orient --json` writes: one entry per part. */
export const orientListSchema = z.strictObject({
  schema: z.literal('scantling/orient-list@1'),
  complete: z.boolean().describe('false: stopped before every file had its turn'),
  parts: z.array(
    z.strictObject({
      name: z.string().describe('File, and the item in it where there are several'),
      result: orientSchema.nullable().describe('null: the part could not be judged'),
      material: z.string().describe('Filament that mass and hours are told for'),
      takes: z
        .array(wayTakesSchema)
        .nullable()
        .describe('Filament and hours per way, in the order of the ways; null: open mesh, unknown'),
      asModelledTakes: wayTakesSchema
        .nullable()
        .describe('The same as modelled; null where it does not fit so, or is unknown'),
      error: z.strictObject({ code: z.string(), message: z.string() }).nullable(),
    }),
  ),
});

export type WayTakes = z.output<typeof wayTakesSchema>;
export type OrientList = z.output<typeof orientListSchema>;
export type WayUp = z.output<typeof wayUpSchema>;
export type OrientResult = z.output<typeof orientSchema>;
