import { z } from 'zod';
import { stockItemSchema, stockName, type Joint } from '../join/index.ts';
import type { SplitPlan } from '../split/types.ts';

export const cutStepSchema = z.strictObject({
  order: z.number().int().describe('1, 2, 3 ...'),
  cut: z.string(),
  /** What is on the plate: the pieces that are still one. */
  body: z.array(z.string()).describe('Pieces that the body being cut will become'),
  turnsDeg: z
    .tuple([z.number(), z.number(), z.number()])
    .describe('Turn about the fixed X axis, then Y, then Z, degrees'),
  heightMm: z
    .number()
    .describe('Then set the body on the plate and cut at this height above it, mm'),
  below: z.array(z.string()).describe('Pieces in the part that stays on the plate'),
  above: z.array(z.string()).describe('Pieces in the part that comes off the top'),
  plane: z.strictObject({
    id: z.string(),
    normal: z.tuple([z.number(), z.number(), z.number()]).describe('Unit normal, part coordinates'),
    offsetMm: z.number().describe('mm'),
  }),
});

export const glueStepSchema = z.strictObject({
  order: z.number().int(),
  cut: z.string(),
  joints: z.array(z.string()).describe('Faces glued in this step'),
  dowels: z.array(
    z.strictObject({ stock: z.string(), lengthMm: z.number(), count: z.number().int() }),
  ),
});

export const shoppingItemSchema = z.strictObject({
  stock: z.string(),
  item: stockItemSchema,
  count: z.number().int().describe('Dowels needed'),
  cutsMm: z
    .array(z.strictObject({ lengthMm: z.number(), count: z.number().int() }))
    .describe('Lengths to cut, mm; empty for stock used as bought'),
  totalMm: z.number().describe('Length in all, mm'),
  toBuy: z.number().describe('Pieces beyond those on hand; millimetres for stock that is cut'),
});
export type ShoppingItem = z.infer<typeof shoppingItemSchema>;

export const cutSheetSchema = z.strictObject({
  part: z.string(),
  cutting: z.array(cutStepSchema),
  gluing: z.array(glueStepSchema),
  shopping: z.array(shoppingItemSchema),
  cautions: z.array(z.string()),
});
export type CutSheet = z.infer<typeof cutSheetSchema>;

/** The usual cautions of gluing and sanding printed parts; common practice. */
export const CUT_CAUTIONS: readonly string[] = [
  'Glue with windows open and gloves on: vapours of cyanoacrylate, epoxy and solvents irritate, and skin sticks at once.',
  'Dust from drilling and sanding plastic, filler and wood: wear a mask and glasses, sand wet where you can.',
  'Drill with the piece clamped, never held by hand; heavy pieces want two people and a steady bench.',
  'Dowel strengths are estimates: nothing that carries people or hangs overhead may rest on a glued joint alone.',
];

/**
 * The sheet a person follows: cuts in order, each as a turn and a height, then the gluing in the
 * opposite order, and what to buy.
 */
export function cutSheet(plan: SplitPlan, joints: readonly Joint[]): CutSheet {
  const cutting = plan.cuts.map((cut, i) => {
    const plane = plan.planes.find((p) => p.id === cut.plane);
    if (!plane) throw new Error(`The plan names no plane ${cut.plane}.`);
    return {
      order: i + 1,
      cut: cut.id,
      body: [...cut.below, ...cut.above],
      turnsDeg: [...cut.turnsDeg] as [number, number, number],
      heightMm: cut.heightMm,
      below: [...cut.below],
      above: [...cut.above],
      plane: {
        id: plane.id,
        normal: [...plane.normal] as [number, number, number],
        offsetMm: plane.offsetMm,
      },
    };
  });
  // The last cut parts the smallest bodies: they are joined first.
  const gluing = [...plan.cuts].reverse().map((cut, i) => {
    const here = joints.filter((j) => j.cut === cut.id);
    const counts = new Map<string, { stock: string; lengthMm: number; count: number }>();
    for (const d of here.flatMap(dowelsOf)) {
      const key = `${d.stock}|${d.lengthMm}`;
      const entry = counts.get(key) ?? { stock: d.stock, lengthMm: d.lengthMm, count: 0 };
      entry.count++;
      counts.set(key, entry);
    }
    return {
      order: i + 1,
      cut: cut.id,
      joints: here.map((j) => j.id),
      dowels: [...counts.values()],
    };
  });
  return {
    part: plan.part,
    cutting,
    gluing,
    shopping: shoppingList(joints),
    cautions: [...CUT_CAUTIONS],
  };
}

const dowelsOf = (joint: Joint): Joint['regions'][number]['dowels'] =>
  joint.regions.flatMap((r) => r.dowels);

/** Everything that the joints of one part, or of a whole kit, need from the shelf; thickest first. */
export function shoppingList(joints: readonly Joint[]): ShoppingItem[] {
  const items = new Map<string, ShoppingItem & { cutsMm: { lengthMm: number; count: number }[] }>();
  for (const dowel of joints.flatMap(dowelsOf)) {
    const stock = stockName(dowel.item);
    const key = `${stock}|${dowel.item.material}`;
    const entry = items.get(key) ?? {
      stock,
      item: dowel.item,
      count: 0,
      cutsMm: [],
      totalMm: 0,
      toBuy: 0,
    };
    entry.count++;
    entry.totalMm += dowel.lengthMm;
    if (dowel.item.lengthMm === null) {
      const cut = entry.cutsMm.find((c) => Math.abs(c.lengthMm - dowel.lengthMm) < 1e-9);
      if (cut) cut.count++;
      else entry.cutsMm.push({ lengthMm: dowel.lengthMm, count: 1 });
    }
    const need = dowel.item.lengthMm === null ? entry.totalMm : entry.count;
    entry.toBuy = Math.max(0, need - dowel.item.onHand);
    items.set(key, entry);
  }
  return [...items.values()].sort(
    (a, b) =>
      b.item.diameterMm - a.item.diameterMm || (b.item.lengthMm ?? 0) - (a.item.lengthMm ?? 0),
  );
}
