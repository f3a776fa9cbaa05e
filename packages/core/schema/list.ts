import type * as z from 'zod';
import { estimateSchema } from '../src/estimate/index.ts';
import { kitFileSchema, kitResultSchema } from '../src/kit/index.ts';
import { orientListSchema, orientSchema } from '../src/orient/index.ts';
import { reportSchema, scanSchema, splitSchema } from '../src/report/index.ts';
import { salvageSchema } from '../src/salvage/index.ts';
import { planSchema } from '../src/schedule/index.ts';
import { balanceSchema } from '../src/stand/index.ts';
import { workshopSchema } from '../src/workshop/index.ts';

/**
 * Every schema that leaves the library, by the name of its file: `NAME@VERSION`. `input` marks
 * files that people write; the others are results.
 */
export const schemas: Readonly<Record<string, { schema: z.ZodType; input?: true }>> = {
  'balance@1': { schema: balanceSchema },
  'estimate@1': { schema: estimateSchema },
  'kit@1': { schema: kitResultSchema },
  'kit-file@1': { schema: kitFileSchema, input: true },
  'orient@1': { schema: orientSchema },
  'orient-list@1': { schema: orientListSchema },
  'plan@1': { schema: planSchema },
  'report@1': { schema: reportSchema },
  'salvage@1': { schema: salvageSchema },
  'scan@1': { schema: scanSchema },
  'split@1': { schema: splitSchema },
  'workshop@1': { schema: workshopSchema, input: true },
};
