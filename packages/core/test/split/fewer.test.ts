import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { dot } from '../../src/math/index.ts';
import { boxMesh, scaleMesh, type Mesh } from '../../src/mesh/index.ts';
import { readParts } from '../../src/read/index.ts';
import { skinPoints } from '../../src/split/body.ts';
import { fewer } from '../../src/split/fewer.ts';
import { crossesZone, type KeepZone } from '../../src/split/keep.ts';
import { cutsOf, leavesOf } from '../../src/split/leaf.ts';
import type { SplitOptions } from '../../src/split/prepare.ts';
import { proposeSplit } from '../../src/split/propose.ts';
import { splitSettingsSchema } from '../../src/split/settings.ts';
import { slabs as slabsOf } from './slabs.ts';

const BAR = boxMesh([1000, 100, 100]);
const slabs = (at: readonly number[], options?: SplitOptions) => slabsOf(BAR, at, options);

describe('a plan of one piece less', () => {
  // Closed form: tilted, the cube takes a bar of that section up to 342.53 mm, so slabs of 333.3
  // do, and 1000 mm of it in two do not.
  it('is found for a bar in four slabs: three, each certified', () => {
    const { draft, task } = slabs([250, 500, 750]);
    expect(leavesOf(draft).every((leaf) => leaf.count === 1)).toBe(true);
    const found = fewer(draft, task);
    const leaves = found ? leavesOf(found) : [];
    expect(leaves).toHaveLength(3);
    for (const leaf of leaves)
      expect(task.judge.certify(skinPoints(leaf.body), 4000).fits).toBe(true);
    // The slabs of the three are still the whole bar.
    expect(leaves.reduce((sum, leaf) => sum + leaf.volumeMm3, 0)).toBeCloseTo(1e7, 0);
  });

  it('is not looked for below the proved bound, where pieces are wanted, or when left out', () => {
    expect(slabs([250, 500, 750]).task.least).toBe(3);
    const { draft, task } = slabs([250, 500, 750]);
    expect(fewer(draft, { ...task, least: 4 })).toBeNull();
    expect(fewer(draft, { ...task, wanted: 4 })).toBeNull();
    const settings = splitSettingsSchema.parse({ fewerMoves: 0 });
    expect(fewer(draft, { ...task, settings })).toBeNull();
  });

  it('keeps to allowed directions and out of zones, and leaves given cuts', () => {
    const straight = slabs([250, 500, 750], { directions: [[1, 0, 0]] });
    const only = fewer(straight.draft, straight.task);
    expect(only && leavesOf(only)).toHaveLength(3);
    for (const { normal } of only ? cutsOf(only) : [])
      expect(Math.abs(dot(normal, [1, 0, 0]))).toBeCloseTo(1, 12);

    // One cut of two must lie between 657.47 and 685.06 or thereabouts; this zone bars part of it.
    const zone: KeepZone = { shape: 'box', minMm: [660, -1, -1], maxMm: [671, 101, 101] };
    const settings = splitSettingsSchema.parse({ fewerMoves: 20_000 });
    const beside = slabs([250, 500, 750], { keep: [zone], settings });
    const clear = fewer(beside.draft, beside.task);
    expect(clear && leavesOf(clear)).toHaveLength(3);
    for (const cut of clear ? cutsOf(clear) : [])
      expect(beside.task.keep.some((z) => crossesZone(z, cut))).toBe(false);

    const { draft, task } = slabs([340, 500, 750]);
    if (!('cut' in draft)) throw new Error('no cut');
    const given = { ...draft, cut: { ...draft.cut, origin: 'given' } };
    const kept = fewer(given, task);
    expect(kept && leavesOf(kept)).toHaveLength(3);
    expect(kept && cutsOf(kept)[0]).toEqual(given.cut);
  });
});

describe('parts that the search piece by piece takes too many pieces for', () => {
  const part = (name: string, scale: number): Mesh => {
    const path = `../../../../fixtures/lamplighter/${name}.stl`;
    const data = readFileSync(new URL(path, import.meta.url));
    return scaleMesh(readParts(data, { name })[0]?.mesh as Mesh, scale);
  };
  const pieces = (mesh: Mesh, fewerMoves?: number): readonly [number, number] => {
    // The seams of what is found are of no matter here.
    const moves = { settleMoves: 0, ...(fewerMoves !== undefined && { fewerMoves }) };
    const settings = splitSettingsSchema.parse(moves);
    const split = proposeSplit(mesh, [boxEnvelope(220, 220, 250)], { alternatives: 1, settings });
    expect(split.plans[0]?.complete).toBe(true);
    return [split.plans[0]?.pieces.length ?? 0, split.lowerBound.count];
  };

  it('come down to the proved bound, or nearer to it', () => {
    const belt = part('belt-back', 2);
    expect(pieces(belt, 0)).toEqual([5, 4]);
    expect(pieces(belt)).toEqual([4, 4]);
    const feather = part('hat-feather', 4);
    expect(pieces(feather)[0]).toBeLessThan(pieces(feather, 0)[0]);
  });
});
