import { z } from 'zod';
import { cutSheetSchema, shoppingItemSchema, shoppingList } from '../cut/index.ts';
import { jointSchema } from '../join/index.ts';
import { lowerBoundSchema, splitPlanSchema } from '../split/index.ts';
import { standingPieceSchema } from './on-plate.ts';

/** What became of the pieces' files. */
export const splitFilesSchema = z.strictObject({
  written: z.boolean(),
  because: z.string().nullable().describe('Why no pieces were written; null when they were'),
  files: z.array(z.string()).describe('Names of the files, the pieces among them'),
  repairs: z.array(z.string()).describe('What was mended before cutting'),
  sound: z.boolean().describe('Every piece passed every check'),
  volumes: z
    .strictObject({
      partMm3: z.number().describe('mm3'),
      holesMm3: z.number().describe('mm3'),
      marksMm3: z.number().describe('mm3'),
      piecesMm3: z.number().describe('mm3'),
      relativeError: z.number().describe('|part - holes - marks - pieces| / part'),
    })
    .nullable(),
  onPlate: z
    .array(standingPieceSchema)
    .nullable()
    .describe('How each piece stands in its file; null: pieces are in part coordinates'),
  remarks: z.array(z.string()),
});

export const splitPartSchema = z.strictObject({
  file: z.string(),
  part: z.string().nullable().describe('Name within the file; null when it holds one part'),
  state: z
    .enum(['whole', 'split', 'incomplete', 'failed'])
    .describe('whole: fits uncut; incomplete: some piece is not certified; failed: no plan'),
  error: z.string().nullable().describe('One line when no plan could be made'),
  sizeMm: z.tuple([z.number(), z.number(), z.number()]).nullable().describe('mm'),
  closed: z.boolean().nullable().describe('False: volumes and areas are unknown'),
  lowerBound: lowerBoundSchema.nullable(),
  plans: z.array(splitPlanSchema).describe('The best first, then others that really differ'),
  joints: z.array(jointSchema).describe('Joints of the first plan'),
  sheet: cutSheetSchema.nullable().describe('Cut sheet of the first plan'),
  files: splitFilesSchema.nullable().describe('null when nothing was to be written'),
  remarks: z.array(z.string()),
});
export type SplitPart = z.infer<typeof splitPartSchema>;

/** Result of `scantling split`. */
export const splitSchema = z.strictObject({
  schema: z.literal('scantling/split@1'),
  machines: z.array(z.string()).describe('Machines split for, in the order tried'),
  complete: z.boolean().describe('Every part has a plan whose pieces all fit'),
  parts: z.array(splitPartSchema),
  shopping: z.array(shoppingItemSchema).describe('Dowels for all parts together'),
});
export type SplitReport = z.infer<typeof splitSchema>;

/** The report on some parts, in the order given. */
export function splitReport(
  parts: readonly SplitPart[],
  machines: readonly string[],
  complete = true,
): SplitReport {
  return {
    schema: 'scantling/split@1',
    machines: [...machines],
    complete: complete && parts.every((p) => p.state === 'whole' || p.state === 'split'),
    parts: [...parts],
    shopping: shoppingList(parts.flatMap((p) => p.joints)),
  };
}
