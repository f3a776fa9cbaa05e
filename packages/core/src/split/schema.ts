import { z } from 'zod';

const vec = (what: string) => z.tuple([z.number(), z.number(), z.number()]).describe(what);
const bound = z.strictObject({
  plane: z.string().describe('Id of the plane'),
  side: z.enum(['below', 'above']).describe('below: dot(normal, p) < offset'),
});

export const cutPlaneSchema = z.strictObject({
  id: z.string().describe('A, B, C ... in the order of first use'),
  normal: vec('Unit normal, part coordinates; it points to the side called above'),
  offsetMm: z.number().describe('dot(normal, p) of the points of the plane, mm'),
  point: vec('Point of the plane nearest to the middle of the part, mm'),
  origin: z.string().describe('Why this direction was tried'),
});

export const seamSchema = z.strictObject({
  lengthMm: z.number().describe('Outline of the cut on the outer skin, mm'),
  innerMm: z.number().describe('Outline of holes and hollows in the cut, mm'),
  seenMm: z
    .number()
    .describe('Outline on the side that is seen; all of it when none was named, mm'),
  areaMm2: z.number().nullable().describe('Area of material, mm2; null for an open mesh'),
  centroidMm: vec('Centroid of the cut face, part coordinates, mm').nullable(),
  sectionModulusMm3: z
    .number()
    .nullable()
    .describe('Least elastic section modulus about an axis in the face, mm3'),
  meanThicknessMm: z.number().nullable().describe('2 x area / outline, mm'),
  regions: z.number().int().nullable().describe('Separate regions of material'),
  leastThicknessMm: z.number().nullable().describe("Least of the regions' mean thicknesses, mm"),
});

export const splitCutSchema = z.strictObject({
  id: z.string().describe('1, 2, 3 ... in the order of cutting'),
  plane: z.string(),
  within: z.array(bound).describe('Earlier cuts that bound the piece being cut'),
  below: z.array(z.string()).describe('Final pieces below'),
  above: z.array(z.string()).describe('Final pieces above'),
  turnsDeg: vec('Turns about the fixed axes, X, then Y, then Z, that bring the normal to +Z, deg'),
  heightMm: z.number().describe('Height of the cut over the lowest point, once turned, mm'),
  seam: seamSchema,
});

export const placementSchema = z.strictObject({
  rotation: z
    .tuple([z.number(), z.number(), z.number(), z.number()])
    .describe('Unit quaternion x, y, z, w from part to machine'),
  turnsDeg: vec('The same as turns about the fixed axes, X, then Y, then Z, deg'),
  translationMm: vec('Then this move, mm; origin in the middle of the plate'),
  sizeMm: vec('Size once turned, mm'),
  clearanceMm: vec('Free length left along X, Y, Z, mm'),
});

export const splitPieceSchema = z.strictObject({
  id: z.string(),
  within: z.array(bound).describe('Half-spaces whose intersection with the part is the piece'),
  fit: z.strictObject({
    fits: z.boolean().nullable().describe('null: not decided within the allowed work'),
    envelope: z.string().describe('Machine that takes it, or the last one tried'),
    placement: placementSchema.nullable().describe('The witness'),
  }),
  volumeMm3: z.number().nullable().describe('mm3; null for an open mesh'),
  sizeMm: vec("Size along the part's own axes, mm"),
  bodies: z.number().int().nullable().describe('Bodies that hang together nowhere'),
});

type TreeShape =
  { cut: string; plane: string; below: TreeShape; above: TreeShape } | { piece: string };
export const splitTreeSchema: z.ZodType<TreeShape> = z.lazy(() =>
  z.union([
    z.strictObject({
      cut: z.string(),
      plane: z.string(),
      below: splitTreeSchema,
      above: splitTreeSchema,
    }),
    z.strictObject({ piece: z.string() }),
  ]),
);

export const lowerBoundSchema = z.strictObject({
  count: z.number().int().describe('Proved: fewer pieces are impossible'),
  because: z.string(),
});

/** One plan, as `proposeSplit` gives it. */
export const splitPlanSchema = z.strictObject({
  part: z.string(),
  planes: z.array(cutPlaneSchema),
  tree: splitTreeSchema,
  cuts: z.array(splitCutSchema),
  pieces: z.array(splitPieceSchema),
  complete: z.boolean().describe('Every piece is certified to fit'),
  cost: z.strictObject({
    total: z.number().describe('mm of visible seam'),
    terms: z.array(
      z.strictObject({
        name: z.string(),
        value: z.number().describe('In `unit`'),
        unit: z.string(),
        weight: z.number().describe('mm of seam per unit'),
        cost: z.number().describe('weight x value, mm of seam'),
      }),
    ),
  }),
  twinCostMm: z
    .number()
    .optional()
    .describe(
      'What the plan, mirrored, costs on the part of the other side, without supports, mm of seam; where both were planned together',
    ),
  remarks: z.array(z.string()),
});
