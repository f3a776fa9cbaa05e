import { z } from 'zod';
import { jointSchema } from '../join/index.ts';

const amount = z.strictObject({
  volumeMm3: z.number().nullable(),
  massG: z.number().nullable().describe('With walls, infill and supports; null when not weighed'),
  hours: z.number().nullable().describe('Likely hours; null when not estimated'),
});

/** What is left of a print that stopped, and how to go on. Lengths mm, in the printed orientation. */
export const salvageSchema = z.strictObject({
  schema: z.literal('scantling/salvage@1'),
  file: z.string(),
  turnsDeg: z
    .tuple([z.number(), z.number(), z.number()])
    .describe('Turns about the fixed axes X, then Y, then Z in which it was printed'),
  printed: z.strictObject({
    likelyMm: z.number(),
    plusMinusMm: z.number(),
    layerMm: z.number(),
    layers: z.number().int().describe('Whole layers that are surely there'),
    cutMm: z.number().describe('Height of the cut: those layers'),
    sandOffMm: z.number().describe('What likely stands above the cut and is sanded off'),
  }),
  whole: amount,
  remainder: amount,
  saved: amount.extend({ share: z.number().nullable().describe('Of the volume, 0 to 1') }),
  cutFace: z.strictObject({
    outlineMm: z.number(),
    areaMm2: z.number().nullable(),
    regions: z.number().int().nullable(),
    leastThicknessMm: z.number().nullable(),
    slantedShare: z.number().describe('Share of the outline that leans more than 30 degrees'),
    steepestDeg: z.number(),
  }),
  joints: z.array(jointSchema),
  written: z.boolean(),
  because: z.string().nullable().describe('Why no piece was written'),
  sound: z.boolean().describe('The piece passed every check after cutting'),
  repairs: z.array(z.string()),
  advice: z.array(z.string()),
  cautions: z.array(z.string()),
});

export type Salvage = z.infer<typeof salvageSchema>;
