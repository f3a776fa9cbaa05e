import type * as z from 'zod';
import { workshopSchema } from '../src/workshop/index.ts';

/**
 * Every schema that leaves the library, by the name of its file: `NAME@VERSION`. `input` marks
 * files that people write; the others are results.
 */
export const schemas: Readonly<Record<string, { schema: z.ZodType; input?: true }>> = {
  'workshop@1': { schema: workshopSchema, input: true },
};
