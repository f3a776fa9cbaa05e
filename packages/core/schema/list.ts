import type * as z from 'zod';
import { orientListSchema, orientSchema } from '../src/orient/index.ts';
import { scanSchema, splitSchema } from '../src/report/index.ts';
import { workshopSchema } from '../src/workshop/index.ts';

/**
 * Every schema that leaves the library, by the name of its file: `NAME@VERSION`. `input` marks
 * files that people write; the others are results.
 */
export const schemas: Readonly<Record<string, { schema: z.ZodType; input?: true }>> = {
  'orient@1': { schema: orientSchema },
  'orient-list@1': { schema: orientListSchema },
  'scan@1': { schema: scanSchema },
  'split@1': { schema: splitSchema },
  'workshop@1': { schema: workshopSchema, input: true },
};
