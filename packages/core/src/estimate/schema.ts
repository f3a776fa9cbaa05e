import { z } from 'zod';

const g = (what: string) => z.number().describe(`${what}, g`);
const h = (what: string) => z.number().describe(`${what}, h`);

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
  hours: z.strictObject({ low: h('Low'), likely: h('Likely'), high: h('High') }),
  parts: z
    .strictObject({
      motionH: h('Moves limited by speed and acceleration'),
      flowH: h('Moves limited by melt flow'),
      overheadH: h('Heating, layer changes, travel, cooling'),
    })
    .describe('The likely hours before the factors of the machine'),
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

/** `scantling estimate --json` */
export const estimateSchema = z
  .strictObject({
    schema: z.literal('scantling/estimate@1'),
    machine: z.string(),
    errorShare: z.number().describe('Half width of low to high as a share of the likely hours'),
    fitted: z
      .strictObject({
        prints: z.int(),
        before: z.strictObject({ median: z.number(), largest: z.number() }),
        after: z.strictObject({ median: z.number(), largest: z.number() }),
      })
      .nullable()
      .describe('Fit to the log, relative errors of the hours; null when there is none'),
    parts: z.array(
      z.strictObject({
        file: z.string(),
        part: z.string().nullable(),
        quantity: z.int(),
        material: z.string(),
        estimate: partEstimateSchema.nullable(),
        because: z.string().nullable().describe('Why there is no estimate'),
        choices: z.array(choiceSchema).describe('The same part with other walls and infill'),
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
