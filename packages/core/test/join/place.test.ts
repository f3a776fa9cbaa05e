import { describe, expect, it } from 'vitest';
import { distanceToOutline, insidePatch, patchBounds, type Patch } from '../../src/join/patch.ts';
import { regionFigures } from '../../src/mesh/index.ts';
import { placeDowels, type PlaceTask } from '../../src/join/place.ts';
import { faceSymmetries, keyOf, type Site } from '../../src/join/symmetry.ts';

/**
 * Oracle: brute force over a fine raster of all places where the hole keeps its wall. Its best
 * spread may ignore that the pattern must forbid wrong ways of assembly, so it is an upper bound.
 */
const circle = (r: number, n = 96, turn = 1): Float64Array =>
  Float64Array.from(
    Array.from({ length: n }, (_, i) => {
      const a = (turn * 2 * Math.PI * i) / n;
      return [r * Math.cos(a), r * Math.sin(a)];
    }).flat(),
  );
const loop = (...xy: number[]): Float64Array => Float64Array.from(xy);

const shapes: Record<string, Patch> = {
  disc: { loops: [circle(60)] },
  square: { loops: [loop(0, 0, 100, 0, 100, 100, 0, 100)] },
  annulus: { loops: [circle(80), circle(55, 96, -1)] },
  L: { loops: [loop(0, 0, 120, 0, 120, 40, 40, 40, 40, 90, 0, 90)] },
  oblong: { loops: [loop(0, 0, 300, 0, 300, 30, 0, 30)] },
};

const task = (region: Patch, r = 4.1, wallMm = 4): PlaceTask => ({
  region,
  r,
  wallMm,
  allowed: () => true,
  keys: [{ symmetries: faceSymmetries(region, regionFigures(region.loops).centroidMm), fixed: [] }],
  keyMm: 2,
});

function feasible(t: PlaceTask, step: number): [number, number][] {
  const box = patchBounds(t.region);
  const out: [number, number][] = [];
  for (let x = box.x0; x <= box.x1; x += step)
    for (let y = box.y0; y <= box.y1; y += step)
      if (insidePatch(t.region, x, y) && distanceToOutline(t.region, x, y) >= t.r + t.wallMm)
        out.push([x, y]);
  return out;
}

const gap = (a: readonly [number, number], b: readonly [number, number]): number =>
  Math.hypot(a[0] - b[0], a[1] - b[1]);

function bruteForce(points: [number, number][], count: number): number {
  let best = 0;
  for (let i = 0; i < points.length; i++)
    for (let j = i + 1; j < points.length; j++) {
      const a = points[i] as [number, number];
      const b = points[j] as [number, number];
      const ab = gap(a, b);
      if (ab <= best) continue;
      if (count === 2) best = ab;
      else
        for (let k = j + 1; k < points.length; k++) {
          const c = points[k] as [number, number];
          best = Math.max(best, Math.min(ab, gap(a, c), gap(b, c)));
        }
    }
  return best;
}

describe('placeDowels', () => {
  for (const [name, region] of Object.entries(shapes))
    for (const count of [2, 3])
      it(`spreads ${count} dowels in ${name} to 95 % of brute force, and forbids wrong ways`, () => {
        const t = task(region);
        const pattern = placeDowels(t, count);
        const best = bruteForce(feasible(t, count === 2 ? 2 : 5), count);
        expect(best).toBeGreaterThan(20);
        expect(pattern).not.toBeNull();
        expect(pattern?.sites).toHaveLength(count);
        expect((pattern?.spreadMm ?? 0) / best).toBeGreaterThanOrEqual(0.95);
        expect(pattern?.missMm).toBeGreaterThanOrEqual(2);
        expect(pattern?.mirrorsAdmitted).toBe(false);
        for (const s of pattern?.sites ?? []) {
          expect(insidePatch(region, s.x, s.y)).toBe(true);
          expect(distanceToOutline(region, s.x, s.y)).toBeGreaterThanOrEqual(t.r + t.wallMm);
        }
      });

  it('finds the thin band of places in a tube wall that barely holds the hole', () => {
    const region = { loops: [circle(50, 200), circle(33.7, 200, -1)] };
    const pattern = placeDowels(task(region), 2);
    expect(pattern?.spreadMm).toBeGreaterThan(75);
  });

  it('gives nothing where nothing fits', () => {
    expect(placeDowels(task({ loops: [loop(0, 0, 300, 0, 300, 16, 0, 16)] }), 1)).toBeNull();
    expect(placeDowels(task({ loops: [circle(9)] }), 2)).toBeNull();
  });

  it('keeps away from places that the solid forbids', () => {
    const region = shapes['square'] as Patch;
    const pattern = placeDowels({ ...task(region), allowed: (x) => x > 50 }, 2);
    for (const s of pattern?.sites ?? []) expect(s.x).toBeGreaterThan(50);
    expect(pattern?.sites).toHaveLength(2);
  });
});

describe('faceSymmetries', () => {
  const count = (set: Uint8Array): number => set.reduce((a, b) => a + b, 0);

  it('knows the groups of simple outlines', () => {
    // Dihedral groups: square D4, oblong D2; the disc has all of O(2); the L here has none.
    const of = (region: Patch) => faceSymmetries(region, regionFigures(region.loops).centroidMm);
    const square = of(shapes['square'] as Patch);
    for (const k of [0, 90, 180, 270]) expect(square.turns[k]).toBe(1);
    expect(square.turns[45]).toBe(0);
    for (const k of [0, 90, 180, 270]) expect(square.mirrors[k]).toBe(1);
    const oblong = of(shapes['oblong'] as Patch);
    expect(oblong.turns[180]).toBe(1);
    expect(oblong.turns[90]).toBe(0);
    expect(count(of(shapes['disc'] as Patch).turns)).toBe(360);
    const l = of(shapes['L'] as Patch);
    expect(l.turns.slice(20, 340).some((x) => x === 1)).toBe(false);
  });

  it('sees that an even pattern on a line through the middle can be glued on turned', () => {
    const oblong = shapes['oblong'] as Patch;
    const face = faceSymmetries(oblong, [150, 15]);
    const even: Site[] = [
      { x: 30, y: 15, r: 4 },
      { x: 270, y: 15, r: 4 },
    ];
    expect(keyOf(even, face).missMm).toBeLessThan(1e-9);
    expect(keyOf(even, face, 0, false).way?.turnDeg).toBe(180);
    // Other sizes of dowel, or another spacing, forbid the turn; on the axis a mirror is
    // still open. Off it the mirror misses by 6 mm, less what a tilt of a degree saves.
    const odd = [even[0] as Site, { x: 270, y: 15, r: 3 }];
    expect(keyOf(odd, face, 0, false).missMm).toBeGreaterThan(100);
    expect(keyOf(odd, face).missMm).toBeLessThan(1e-9);
    expect(keyOf([even[0] as Site, { x: 264, y: 18, r: 4 }], face).missMm).toBeGreaterThan(3);
  });

  it('sees that one dowel lets the piece turn, and a rod beside it does not', () => {
    const face = faceSymmetries(shapes['disc'] as Patch, [0, 0]);
    expect(keyOf([{ x: 0, y: 0, r: 4 }], face).missMm).toBeLessThan(1e-9);
    const withRod = [
      { x: 30, y: 0, r: 4 },
      { x: -10, y: 14, r: 12.8 },
    ];
    expect(keyOf(withRod, face).missMm).toBeGreaterThan(2);
  });
});
