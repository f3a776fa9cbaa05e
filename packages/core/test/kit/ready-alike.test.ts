import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { boxEnvelope, DEFAULT_ORIENT_SETTINGS, estimateSettingsSchema, materialOf, readyAlike, readyPart, type Envelope, type Ready } from '../../src/index.ts'; // prettier-ignore
import { quatFromTurnsDeg, quatToMatrix } from '../../src/math/index.ts';
import { boundsOf, boxMesh, transformMesh, type Mesh } from '../../src/mesh/index.ts';
import { readParts } from '../../src/read/index.ts';

const fixture = (name: string): Mesh => {
  const file = new URL(`../../../../fixtures/lamplighter/${name}.stl`, import.meta.url);
  return readParts(readFileSync(file), { name })[0]?.mesh as Mesh;
};
const machine = (envelope: Envelope) => ({ envelope, estimate: estimateSettingsSchema.parse({}), orient: DEFAULT_ORIENT_SETTINGS }); // prettier-ignore
const recipes = [{ walls: 3, infillShare: 0.15 }];
const material = materialOf('PLA');
const only = (made: readonly (readonly (Ready | null)[])[] | null): Ready =>
  made?.[0]?.[0] as Ready;
const placed = (mesh: Mesh, r: Ready) =>
  boundsOf(transformMesh(mesh, quatToMatrix(r.rotation), r.translationMm).positions);

describe('a plan for one of two like parts', () => {
  const left = fixture('shoulder-ring-left');
  const desk = [machine(boxEnvelope(220, 220, 250))];

  it('serves the mirror image: as much filament and time as when it is made ready for itself', async () => {
    const right = fixture('shoulder-ring-right');
    const [first, own] = await Promise.all([left, right].map((m) => readyPart(m, desk, recipes, material))); // prettier-ignore
    const taken = only(readyAlike(right, left, first ?? [], desk));
    const self = only(own ?? []);
    expect(taken.estimate?.massG).toBeCloseTo(self.estimate?.massG ?? NaN, 0);
    expect(taken.estimate?.hours.likely).toBeCloseTo(self.estimate?.hours.likely ?? NaN, 1);
    const { min, max } = placed(right, taken);
    expect(min[2]).toBeCloseTo(0, 3);
    expect(max[2]).toBeCloseTo(taken.sizeMm[2], 3);
    // Its shadow is that of the mesh as placed.
    expect(Math.min(...taken.shadowMm.map(([x]) => x))).toBeCloseTo(min[0], 3);
    expect(Math.max(...taken.shadowMm.map(([, y]) => y))).toBeCloseTo(max[1], 3);
  });

  it('serves a copy that lies turned in its file', async () => {
    const copy = transformMesh(left, quatToMatrix(quatFromTurnsDeg([90, 0, 0])), [500, 40, -7]);
    const first = await readyPart(left, desk, recipes, material);
    const taken = only(readyAlike(copy, left, first, desk));
    expect(taken.estimate).toBe(only(first).estimate);
    const { min, max } = placed(copy, taken);
    expect(min[2]).toBeCloseTo(0, 3);
    expect(max[2]).toBeCloseTo(placed(left, only(first)).max[2], 3);
    expect(max[0] - min[0]).toBeLessThanOrEqual(220);
    expect(max[1] - min[1]).toBeLessThanOrEqual(220);
  });

  it('is not taken over by a body that only claims to be like it', async () => {
    const first = await readyPart(left, desk, recipes, material);
    expect(readyAlike(boxMesh([40, 40, 40]), left, first, desk)).toBeNull();
  });
});
