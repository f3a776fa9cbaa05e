import { z } from 'zod';

const point = z.tuple([z.number(), z.number(), z.number()]).describe('x, y, z, mm, frame of the figure; floor at z = 0'); // prettier-ignore

/** `scantling balance --json` */
export const balanceSchema = z
  .strictObject({
    schema: z.literal('scantling/balance@1'),
    massG: z.number().describe('Everything that was weighed, g'),
    massByGroup: z.array(z.strictObject({ group: z.string(), massG: z.number() })),
    heightMm: z.number().describe('From the floor to the highest point'),
    swingHeightMm: z.number().describe('Height swept when it is raised in one piece over an edge of its foot: the least of all edges'), // prettier-ignore
    ceiling: z
      .strictObject({
        mm: z.number(),
        stands: z.boolean().describe('Fits under it standing'),
        raised: z.boolean().describe('Can be raised under it in one piece'),
      })
      .nullable(),
    centreMm: point,
    footprintMm: z
      .array(z.tuple([z.number(), z.number()]))
      .describe('Convex outline of what touches the floor, mm'),
    onItsFeet: z.boolean().describe('The centre of mass lies over the footprint'),
    tip: z.strictObject({
      angleDeg: z.number().describe('Least tilt that tips it, degrees; negative: falls by itself'),
      towards: z.tuple([z.number(), z.number()]).describe('Direction it tips to, unit vector'),
      pushHeightMm: z.number(),
      pushN: z.number().describe('Least sideways push at that height that tips it, N'),
    }),
    wanted: z
      .strictObject({
        angleDeg: z.number(),
        lowPartsG: z
          .number()
          .nullable()
          .describe('Mass to add in the low parts (walls, infill) to reach it, g; null: cannot'),
        lowPartsInfill: z
          .number()
          .nullable()
          .describe('Or infill share of the low parts that reaches it, walls as they are; null: cannot; 0: as it is'), // prettier-ignore
        lowPartsWalls: z
          .int()
          .nullable()
          .describe('Or least number of walls among those tried, infill as it is; null: none or none needed'), // prettier-ignore
        wallsTried: z
          .array(z.int())
          .describe('Numbers of walls weighed for it, rising; halving between them ends at the least whole one'), // prettier-ignore
        lowPartsRoomG: z.number().describe('What they can still take until they are solid, g'),
        ballastG: z.number().nullable().describe('Or mass to add in the base, g; null: cannot'),
      })
      .nullable(),
    unknown: z.array(z.strictObject({ name: z.string(), because: z.string() })),
    cautions: z.array(z.string()),
  })
  .describe('How firmly the finished figure stands.');
export type Balance = z.infer<typeof balanceSchema>;
