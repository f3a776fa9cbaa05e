import { z } from 'zod';

const g = (what: string) => z.number().describe(`${what}, g`);
const h = (what: string) => z.number().describe(`${what}, h`);

const hoursSchema = z.strictObject({ low: h('Low'), likely: h('Likely'), high: h('High') });

const partsSchema = z
  .strictObject({
    motionH: h('Moves limited by speed and acceleration'),
    flowH: h('Moves limited by melt flow'),
    overheadH: h('Heating, layer changes, travel, cooling'),
  })
  .describe('The likely hours before the factors of the machine');

export const partEstimateSchema = z.strictObject({
  massG: g('Filament in all'),
  mass: z.strictObject({
    wallsG: g('Walls'),
    skinsG: g('Upper and lower skins'),
    infillG: g('Infill'),
    supportsG: g('Supports'),
    brimG: g('Brim'),
    purgeG: g('Purge'),
  }),
  filamentM: z.number().describe('Length of filament, m'),
  layers: z.int(),
  heightMm: z.number(),
  hours: hoursSchema,
  parts: partsSchema,
  sections: z.int().describe('Heights at which the part was cut'),
  integrationErrorShare: z.number().describe('Estimated relative error of the sums over layers'),
});
export type PartEstimate = z.infer<typeof partEstimateSchema>;

const choiceSchema = z.strictObject({
  walls: z.int(),
  infillShare: z.number(),
  massG: g('Filament'),
  hours: h('Likely hours'),
});

const printSchema = z.strictObject({
  piece: z.string(),
  massG: g('Filament'),
  hours: hoursSchema,
  parts: partsSchema,
});
const errorSchema = z.strictObject({ median: z.number(), largest: z.number() });

/** How the hours of one machine are computed, and how well that has held so far. */
export const hoursModelSchema = z
  .strictObject({
    fitted: z
      .boolean()
      .describe('Factors fitted to the log; false: the default model, for fewer than five prints'),
    prints: z.int().describe('Finished prints of the log that it was held against'),
    factors: z
      .strictObject({ motion: z.number(), flow: z.number(), overhead: z.number() })
      .describe('Real over computed time of moves limited by speed, by melt flow, of all else'),
    errorShare: z.number().describe('Half width of low to high as a share of the likely hours'),
    before: errorSchema
      .nullable()
      .describe('Relative errors of those prints by the default model; null when there are none'),
    after: errorSchema.nullable().describe('The same with the fitted factors; null: not fitted'),
  })
  .describe('The model of the hours on one machine.');
export type HoursModel = z.infer<typeof hoursModelSchema>;

/** One part whole beside the same part cut up, on one machine. */
export const wholeOrSplitSchema = z.strictObject({
  whole: z.strictObject({
    possible: z
      .boolean()
      .describe('Goes on this machine; false: the figures are those of this machine made large enough'), // prettier-ignore
    sizeMm: z.tuple([z.number(), z.number(), z.number()]).describe('As it stands so, mm'),
    massG: g('Filament'),
    hours: hoursSchema,
    parts: partsSchema,
  }),
  split: z
    .strictObject({
      pieces: z.array(printSchema).min(2),
      massG: g('Filament of all pieces'),
      hours: hoursSchema.describe('All pieces one after the other'),
      longest: printSchema.describe('Longest single print'),
      extraMassG: z.number().describe('All pieces less the whole, g'),
      extraHours: z.number().describe('All pieces less the whole, likely hours, h'),
    })
    .nullable(),
  because: z.string().nullable().describe('Why there are no pieces'),
});
export type WholeOrSplit = z.infer<typeof wholeOrSplitSchema>;

/** `scantling estimate --json` */
export const estimateSchema = z
  .strictObject({
    schema: z.literal('scantling/estimate@1'),
    machine: z.string(),
    hoursModel: hoursModelSchema,
    parts: z.array(
      z.strictObject({
        file: z.string(),
        part: z.string().nullable(),
        quantity: z.int(),
        material: z.string(),
        estimate: partEstimateSchema.nullable(),
        because: z.string().nullable().describe('Why there is no estimate'),
        choices: z.array(choiceSchema).describe('The same part with other walls and infill'),
        wholeOrSplit: wholeOrSplitSchema
          .nullable()
          .describe('The same part whole and cut up; null when not asked for, or an open mesh'),
      }),
    ),
    total: z.strictObject({
      massG: g('Filament of everything with its quantity'),
      hours: h('Likely hours of everything with its quantity'),
      spools: z.array(z.strictObject({ material: z.string(), massG: g('Filament'), metres: z.number(), spools: z.int() })), // prettier-ignore
    }),
  })
  .describe('Filament and hours of parts on one machine.');
export type Estimate = z.infer<typeof estimateSchema>;
