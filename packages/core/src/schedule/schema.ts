import { z } from 'zod';
import { hoursModelSchema } from '../estimate/index.ts';

const point3 = z.tuple([z.number(), z.number(), z.number()]);
const instant = z.string().describe('ISO 8601 with the offset of the time zone');
const h = (what: string) => z.number().describe(`${what}, h`);

const printSchema = z.strictObject({
  print: z.int().describe('Number in the order of starts, from 1'),
  machine: z.string(),
  pieces: z.array(z.string()).min(1),
  group: z.string().nullable(),
  material: z.string(),
  massG: z.number().describe('Filament, g'),
  start: instant,
  end: instant.describe('Likely end, ISO 8601'),
  hours: h('Likely running time'),
  hoursLow: h('Running time, low'),
  hoursHigh: h('Running time, high'),
  running: z.boolean().describe('Started already, according to the log'),
  endsUnattended: z.boolean().describe('Nobody is there when it ends'),
  waitsH: h('Standing still for want of filament until somebody comes'),
  runsUnattendedH: h('Part of the running time with nobody there'),
  clear: instant.describe('When somebody can clear the plate, ISO 8601'),
  layout: z
    .array(
      z.strictObject({
        piece: z.string(),
        turnDeg: z.number().describe('Turn about Z, degrees'),
        xMm: z.number(),
        yMm: z.number(),
      }),
    )
    .nullable()
    .describe(
      'Places on a shared plate: p_plate = R(turn) p_piece + (x, y), mm; null for one piece',
    ),
  placements: z
    .array(
      z.strictObject({
        piece: z.string(),
        rotation: z
          .tuple([z.number(), z.number(), z.number(), z.number()])
          .describe('Unit quaternion x, y, z, w'),
        turnsDeg: point3.describe('Turns about the fixed axes, X first, then Y, then Z, degrees'),
        translationMm: point3.describe('Move after the turns, mm'),
      }),
    )
    .describe(
      'How each piece stands, place on the plate included: p_plate = R(rotation) p_part + translationMm, the middle of the plate at 0; only of pieces whose way up and place are known',
    ),
  outlines: z
    .array(
      z.strictObject({
        piece: z.string(),
        cornersMm: z.array(z.tuple([z.number(), z.number()])),
      }),
    )
    .describe(
      'Convex outlines of the pieces as they lie, from above, at most 32 corners each and never too small; x, y from the middle of the plate, mm; only of pieces whose shape is known',
    ),
});

/** `scantling plan --json` */
export const planSchema = z
  .strictObject({
    schema: z.literal('scantling/plan@1'),
    timeZone: z.string(),
    from: instant.describe('Beginning of the plan'),
    finish: instant.describe('Likely end of the last print'),
    hours: h('From the beginning to the finish'),
    bound: z.strictObject({
      finish: instant.describe('No plan for these prints ends earlier: proved'),
      because: z.enum(['longest-print', 'two-on-one-machine', 'work-and-nights', 'all-plans']),
      machines: z
        .array(z.string())
        .describe(
          'The machines it is about: prints that go on these alone; all, or fewer where machines differ',
        ),
      gapH: h('Finish less bound'),
      gapShare: z.number().describe('That gap as a share of the bound'),
    }),
    optimal: z.boolean().describe('Finish and idle time proved least for these plates'),
    method: z.string().describe('What found the plan'),
    fileOrder: z
      .strictObject({ finish: instant, laterH: h('How much later than the plan') })
      .nullable()
      .describe('The same pieces one by one in the order of the kit'),
    due: z.strictObject({ at: instant, lateH: h('Finish after the due date; negative: to spare') }).nullable(), // prettier-ignore
    machines: z.array(
      z.strictObject({
        name: z.string(),
        prints: z.int(),
        busyH: h('Printing time in the plan'),
        busyShare: z.number().describe('Of the time from the beginning to the finish'),
        idleH: h('Waiting between its prints'),
        hoursModel: hoursModelSchema.nullable().describe('How its hours were computed'),
        attended: z
          .array(z.strictObject({ from: instant, to: instant }))
          .describe(
            'When somebody is there for it and it may be started, from the first day of the plan to its last, whole days',
          ),
      }),
    ),
    prints: z.array(printSchema),
    groups: z.array(
      z.strictObject({ group: z.string().nullable(), pieces: z.int(), complete: instant }),
    ),
    spools: z.array(
      z.strictObject({
        machine: z.string(),
        material: z.string(),
        massG: z.number().describe('Filament in the plan, g'),
        spools: z.int().describe('Spools opened, the first one full at the beginning'),
        changes: z
          .array(
            z.strictObject({
              print: z.int(),
              kind: z
                .enum(['before', 'when-empty', 'early', 'dry'])
                .describe(
                  'before: put on before the print starts, what is left is not enough; when-empty: somebody is there when it runs out; early: changed before it is empty, since nobody will be there then; dry: runs out with nobody there and stands still until somebody comes',
                ),
              atShare: z.number().describe('Share of the print done by then'),
              at: instant,
              leftG: z.number().describe('Left on the spool that is taken off, g'),
              loadG: z.number().describe('On the spool that is put on, reserve taken off, g'),
              attended: z.boolean().describe('Somebody is there then'),
            }),
          )
          .describe('When another spool must be put on; no print begins with less than it needs'),
      }),
    ),
    done: z.array(z.string()).describe('Pieces that the log says are done'),
    leftOut: z.array(z.strictObject({ piece: z.string(), because: z.string() })),
    remarks: z.array(z.string()).describe('What was taken for granted or wants looking after'),
    cautions: z.array(z.string()),
  })
  .describe('A plan of prints on machines, around the hours in which somebody is there.');

export type Plan = z.infer<typeof planSchema>;
export type PlannedPrint = Plan['prints'][number];
