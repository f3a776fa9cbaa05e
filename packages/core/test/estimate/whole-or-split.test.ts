import { describe, expect, it } from 'vitest';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { estimateSettingsSchema, materialOf, wholeOrSplit, wholeOrSplitSchema, type PrintingMachine, type WholeOrSplit } from '../../src/estimate/index.ts'; // prettier-ignore
import { joinSettingsSchema } from '../../src/join/index.ts';
import { boxMesh, type Mesh } from '../../src/mesh/index.ts';
import { DEFAULT_ORIENT_SETTINGS } from '../../src/orient/index.ts';

const PLA = materialOf('PLA');
const grams = (mm3: number): number => (mm3 / 1000) * 1.24;
/** Too thin for any dowel, so that pieces lose nothing to holes. */
const bar = (length: number): Mesh => boxMesh([length, 60, 3]);

function answer(mesh: Mesh, edge: number): Promise<WholeOrSplit | null> {
  const machine: PrintingMachine = {
    envelope: boxEnvelope(edge, edge, edge, 'cube'),
    estimate: { ...estimateSettingsSchema.parse({}), purgeG: 2, supportShare: 0 },
    orient: DEFAULT_ORIENT_SETTINGS,
  };
  return wholeOrSplit(mesh, machine, { walls: 3, infillShare: 1 }, PLA, { join: joinSettingsSchema.parse({}) }); // prettier-ignore
}
const compared = async (mesh: Mesh, edge: number): Promise<WholeOrSplit> =>
  wholeOrSplitSchema.parse(await answer(mesh, edge));

describe('a part whole and cut up', () => {
  it('solid: pieces weigh the part, and purge once more per further print', async () => {
    const { whole, split } = await compared(bar(300), 200);
    expect(whole.possible).toBe(false);
    expect(Math.max(...whole.sizeMm)).toBeGreaterThan(200);
    // Solid, the mass is that of the box, however it stands: 300 x 60 x 3 mm at 1.24 g/cm3.
    expect(whole.massG).toBeCloseTo(grams(54_000) + 2, 3);
    const n = split?.pieces.length ?? 0;
    // The cube's space diagonal is 346 mm, but the bar of 300 x 60 goes in no way: two pieces.
    expect(n).toBe(2);
    expect(split?.massG).toBeCloseTo(grams(54_000) + 2 * n, 3);
    expect(split?.extraMassG).toBeCloseTo(2 * (n - 1), 3);
  });

  it('sums the hours of the pieces and names the longest', async () => {
    const { whole, split } = await compared(bar(300), 200);
    const pieces = split?.pieces ?? [];
    for (const key of ['low', 'likely', 'high'] as const)
      expect(split?.hours[key]).toBeCloseTo(
        pieces.reduce((s, p) => s + p.hours[key], 0),
        9,
      );
    expect(split?.longest.hours.likely).toBe(Math.max(...pieces.map((p) => p.hours.likely)));
    expect(split?.extraHours).toBeCloseTo((split?.hours.likely ?? 0) - whole.hours.likely, 9);
    // One more print is one more heating of 7 minutes at least, and no move is saved lying flat.
    expect(split?.extraHours).toBeGreaterThan(0.9 * (420 / 3600));
  });

  it('halves a part that fits across its longest side', async () => {
    const { whole, split } = await compared(bar(150), 200);
    expect(whole.possible).toBe(true);
    expect(split?.pieces.map((p) => p.massG)).toEqual([
      expect.closeTo(grams(13_500) + 2, 3),
      expect.closeTo(grams(13_500) + 2, 3),
    ]);
  });

  it('says why there are no pieces, and nothing at all of an open mesh', async () => {
    const { whole, split, because } = await compared(bar(300), 2);
    expect(whole.massG).toBeGreaterThan(0);
    expect([split, because]).toEqual([null, expect.stringMatching(/\w/)]);
    const box = bar(100);
    const open = { positions: box.positions, triangles: box.triangles.slice(0, -6) };
    expect(await answer(open, 200)).toBeNull();
  });
});
