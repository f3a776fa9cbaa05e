import { z } from 'zod';
import { stockItemSchema } from './settings.ts';

const point = z.tuple([z.number(), z.number(), z.number()]).describe('x, y, z, part coordinates');

export const wallTo = z.enum(['skin', 'cut', 'hole', 'rod', 'keep-out']);
export type WallTo = z.infer<typeof wallTo>;

export const dowelSchema = z.strictObject({
  id: z.string().describe('A1, A2 ...: the cut, then the dowel'),
  stock: z.string().describe('Name on the shopping list'),
  item: stockItemSchema,
  diameterMm: z.number().describe('mm'),
  lengthMm: z.number().describe('Length of the dowel; cut to this when sold by the length, mm'),
  holeDiameterMm: z.number().describe('mm'),
  centreMm: point.describe('Middle of the mouth, in the cut plane, part coordinates, mm'),
  axis: point.describe('Unit vector square to the cut, pointing above it'),
  faceMm: z
    .tuple([z.number(), z.number()])
    .describe('The same point in the coordinates of the cut face, mm'),
  depthBelowMm: z.number().describe('Depth of the hole in the piece below the cut, mm'),
  depthAboveMm: z.number().describe('Depth of the hole in the piece above the cut, mm'),
  leastWallMm: z.number().describe('Least material proved to stand round the whole hole, mm'),
  wallAllowedMm: z.number().describe('Least wall that the rules ask for, mm'),
  leastWallTo: wallTo.describe('What stands at the least wall'),
  proved: z
    .boolean()
    .describe('False when the mesh is open: the wall is then to the surface that is there'),
});
export type Dowel = z.infer<typeof dowelSchema>;

export const adviceSchema = z.strictObject({
  kind: z.enum(['thinner-pin', 'backing-strip', 'scarf', 'glue-only', 'mark', 'second-dowel']),
  words: z.string().describe('One sentence for people, with the figures'),
  sizeMm: z.array(z.number()).describe('Sizes named in the sentence, mm'),
});
export type Advice = z.infer<typeof adviceSchema>;

export const jointRegionSchema = z.strictObject({
  areaMm2: z.number().describe('mm2'),
  outlineMm: z.number().describe('Length of all outlines, mm'),
  centroidMm: point,
  thickestMm: z.number().describe('Diameter of the largest circle inside, mm'),
  meanThicknessMm: z.number().describe('2 x area / outline, mm'),
  secondMomentsMm4: z
    .tuple([z.number(), z.number(), z.number()])
    .describe('Integrals of y2, x2, xy about the centroid in face coordinates, mm4'),
  principalAngleDeg: z.number().describe('Direction of the longest spread in the face, degrees'),
  sectionModulusMm3: z.number().describe('Least elastic modulus about any axis in the face, mm3'),
  rodAligns: z.boolean().describe('The rod through the figure counts as one dowel here'),
  dowels: z.array(dowelSchema),
  spreadMm: z.number().describe('Least distance between two dowels, mm; 0 with fewer than two'),
  onlyRightWay: z
    .enum(['yes', 'but-mirrored', 'no'])
    .describe('Whether the holes forbid every wrong way of assembly that the outline allows'),
  missMm: z
    .number()
    .nullable()
    .describe('Least miss of a hole in any wrong way tried, mm; null if the outline allows none'),
  advice: z.array(adviceSchema),
});
export type JointRegion = z.infer<typeof jointRegionSchema>;

export const strengthSchema = z.strictObject({
  glueN: z.number().describe('Glued area x bond strength / safety, N'),
  dowelShearN: z.number().describe('Sum of pi d2/4 x shear strength / safety, N'),
  bearingN: z.number().describe('Sum of d x least depth x bearing strength / safety, N'),
  allowedN: z
    .number()
    .describe('The larger of glue and dowels (the lesser of their two), never their sum, N'),
  formula: z.string(),
  loadN: z.number().nullable().describe('Weight hanging from the joint, if given, N'),
  margin: z.number().nullable().describe('allowedN / loadN'),
  caution: z.string(),
});
export type Strength = z.infer<typeof strengthSchema>;

/** One glued face between two final pieces. */
export const jointSchema = z.strictObject({
  id: z.string().describe('Name of the cut face'),
  cut: z.string().describe('Id of the cut'),
  below: z.string().describe('Piece below the plane'),
  above: z.string().describe('Piece above the plane'),
  plane: z.strictObject({ normal: point, offsetMm: z.number().describe('mm') }),
  frame: z
    .strictObject({ origin: point, u: point, v: point })
    .describe('Face coordinates: p = origin + x u + y v'),
  loopsMm: z
    .array(z.array(z.number()))
    .describe('Outlines of the face in face coordinates, flat x, y; holes clockwise'),
  areaMm2: z.number().describe('mm2'),
  regions: z.array(jointRegionSchema),
  strength: strengthSchema,
  mark: z
    .strictObject({
      faceMm: z.tuple([z.number(), z.number()]).describe('Middle, face coordinates, mm'),
      heightMm: z.number().describe('Height of the letters, mm'),
    })
    .nullable()
    .describe('Where a mark can be sunk into both faces; null where there is no room'),
  closed: z.boolean().describe('False: the section of an open mesh, nothing can be proved inside'),
  remarks: z.array(z.string()),
});
export type Joint = z.infer<typeof jointSchema>;
