import { z } from 'zod';
import { estimateSchema } from '../estimate/index.ts';
import { planSchema } from '../schedule/index.ts';
import { balanceSchema } from '../stand/index.ts';
import { scanSchema } from './scan.ts';

/** The figures of a report page as data, inside the page: the element with the id `data`. */
export const reportSchema = z
  .strictObject({
    schema: z.literal('scantling/report@1'),
    title: z.string(),
    date: z.string().describe('When the page was made, ISO 8601 date'),
    parts: z.array(
      z.strictObject({
        id: z.string().describe('Anchor in the page'),
        name: z.string().describe('File name without the folder that all share'),
        group: z.string().nullable(),
        role: z.string().nullable(),
        quantity: z.int(),
        massG: z.number().nullable().describe('Filament of one, estimate, g; null: unknown'),
        hours: z.number().nullable().describe('Likely hours of one, estimate, h; null: unknown'),
        pieces: z.int().nullable().describe('Pieces of the split shown; null: none is shown'),
        turnsDeg: z
          .tuple([z.number(), z.number(), z.number()])
          .nullable()
          .describe('Way up shown: turns about the fixed axes X, then Y, then Z, degrees; null: as the scan placed it'), // prettier-ignore
        drawnFrom: z
          .int()
          .nullable()
          .describe('Triangles of the coarser body the pictures are of; null: the part itself'),
        turnable: z
          .strictObject({
            shown: z.int().describe('Triangles of the body that can be turned'),
            of: z.int().describe('Triangles of the part'),
          })
          .nullable()
          .describe('null: not in the page'),
      }),
    ),
    scan: scanSchema,
    plan: planSchema.nullable(),
    estimate: estimateSchema.nullable().describe('Choices of walls and infill left out'),
    balance: balanceSchema.nullable(),
    leftOut: z
      .array(z.string())
      .describe('What stayed out so that the page keeps to its size, one sentence each'),
  })
  .describe('What a report page shows, for other programs.');
export type ReportData = z.infer<typeof reportSchema>;
