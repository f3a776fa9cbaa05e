import { describe, expect, it } from 'vitest';
import { adviseBare, thickestDowel } from '../../src/join/advice.ts';
import { dowelOptions } from '../../src/join/options.ts';
import {
  checkStock,
  DIN_68150,
  INCH_TUBE_MM,
  ISO_2338,
  ISO_8734,
  JOIN_DEFAULTS,
  joinSettingsSchema,
  jointStrength,
  lapShearPeak,
  leastModulus,
  leastWall,
  settingsFor,
  stockName,
  type StockItem,
} from '../../src/join/index.ts';
import { inscribedCircle, thicknessField, type Patch } from '../../src/join/patch.ts';
import { regionFigures } from '../../src/mesh/index.ts';

const item = (standard: StockItem['standard'], d: number, l: number | null): StockItem => ({
  standard,
  material: 'steel',
  diameterMm: d,
  lengthMm: l,
  onHand: 0,
});

describe('stock', () => {
  it('agrees with the standards', () => {
    // Open fastener tables and a maker's data sheet: ISO 2338 and ISO 8734, shortest and longest.
    const row = (t: typeof ISO_2338, d: number) => {
      const r = t.find((x) => x.diameterMm === d);
      return [r?.shortestMm, r?.longestMm, r?.chamferMm];
    };
    expect(row(ISO_2338, 4)).toEqual([8, 40, 0.63]);
    expect(row(ISO_2338, 8)).toEqual([14, 80, 1.6]);
    expect(row(ISO_2338, 20)).toEqual([35, 200, 3.5]);
    expect(row(ISO_8734, 4)).toEqual([10, 40, 0.63]);
    expect(row(ISO_8734, 16)).toEqual([40, 100, 3]);
    expect(DIN_68150.diametersMm).toEqual([5, 12]);
    // 1 in by definition.
    expect(INCH_TUBE_MM).toBe(25.4);
  });

  it('refuses sizes that nobody sells, and says what is sold', () => {
    expect(() => checkStock(item('ISO 2338', 4, 100))).toThrow(/ISO 2338 - 4 x 100.*8 to 40/);
    expect(() => checkStock(item('ISO 2338', 4, 21))).toThrow(/steps/);
    expect(() => checkStock(item('ISO 8734', 7, 20))).toThrow(/diameters/);
    expect(() => checkStock(item('DIN 68150', 8, 90))).toThrow(/25-60/);
    expect(() => checkStock(item('rod', 7.3, null))).not.toThrow();
    expect(() => checkStock(item('DIN 68150', 8, 40))).not.toThrow();
    expect(stockName(item('rod', 5, null))).toBe('rod 5 (cut)');
  });

  it('has defaults that its own standards know, described key by key', () => {
    expect(JOIN_DEFAULTS.stock.length).toBeGreaterThan(5);
    for (const s of JOIN_DEFAULTS.stock) expect(() => checkStock(s)).not.toThrow();
    for (const [key, schema] of Object.entries(joinSettingsSchema.shape))
      expect(schema.description, key).toBeTruthy();
    expect(joinSettingsSchema.safeParse({ clearance: 1 }).success).toBe(false);
  });
});

describe('dowelOptions', () => {
  const only = (...stock: StockItem[]) => dowelOptions({ ...JOIN_DEFAULTS, stock });

  it('drills an 8 x 40 dowel 8.2 wide and 21.6 deep on each side', () => {
    // Published rule: hole = half the dowel + 1/16 in (1.6 mm); clearance 0.2 on the diameter.
    const first = only(item('DIN 68150', 8, 40))[0];
    expect(first?.holeRadiusMm).toBeCloseTo(4.1, 12);
    expect(first?.belowMm).toBeCloseTo(21.6, 12);
    expect(first?.aboveMm).toBeCloseTo(21.6, 12);
    expect(only(item('tube', INCH_TUBE_MM, null))[0]?.holeRadiusMm).toBeCloseTo(12.8, 12);
  });

  it('never gives a piece less than 1.5 d of dowel, nor loses length on the way', () => {
    const all = dowelOptions(JOIN_DEFAULTS);
    expect(all.length).toBeGreaterThan(15);
    for (const o of all) {
      const [a, b] = [o.belowMm - 1.6, o.aboveMm - 1.6];
      expect(Math.min(a, b)).toBeGreaterThanOrEqual(1.5 * o.item.diameterMm - 1e-9);
      expect(a + b).toBeCloseTo(o.lengthMm, 9);
      if (o.item.lengthMm !== null) expect(o.lengthMm).toBe(o.item.lengthMm);
    }
    expect(only(item('rod', 10, 25))).toEqual([]);
  });

  it('offers the thickest first', () => {
    const d = dowelOptions(JOIN_DEFAULTS).map((o) => o.item.diameterMm);
    expect(d).toEqual([...d].sort((a, b) => b - a));
  });
});

describe('leastWall and thickestDowel', () => {
  it('ask for 2 mm or one radius, whichever is more', () => {
    expect(leastWall(JOIN_DEFAULTS, 3)).toBe(2);
    expect(leastWall(JOIN_DEFAULTS, 10)).toBe(5);
    // Solved by hand: (d + 0.2) / 2 + max(2, d / 2) = R.
    for (const R of [3.5, 4.1, 6, 12]) {
      const d = thickestDowel(R, JOIN_DEFAULTS);
      expect((d + 0.2) / 2 + leastWall(JOIN_DEFAULTS, d)).toBeCloseTo(R, 9);
    }
  });

  it('advise in numbers where nothing fits', () => {
    const shell = { areaMm2: 900, thickestMm: 3, meanThicknessMm: 3 };
    const advice = adviseBare(shell, 3, JOIN_DEFAULTS);
    expect(advice[0]?.words).toContain('7.2 mm');
    const strip = advice.find((a) => a.kind === 'backing-strip');
    expect(strip?.sizeMm).toEqual([30, 3, 300]);
    expect(advice.at(-1)?.words).toContain('540 N');
    const post = { areaMm2: 36, thickestMm: 6, meanThicknessMm: 3 };
    const kinds = adviseBare(post, 3, JOIN_DEFAULTS).map((a) => a.kind);
    expect(kinds).toContain('thinner-pin');
    expect(kinds).toContain('scarf');
  });
});

describe('strength', () => {
  it('follows its printed formulas', () => {
    const dowel = {
      diameterMm: 8,
      item: { ...item('DIN 68150', 8, 40), material: 'wood' as const },
      depthBelowMm: 21.6,
      depthAboveMm: 21.6,
      lengthMm: 40,
    };
    const s = jointStrength(1000, [dowel, dowel], JOIN_DEFAULTS, 2500);
    // By hand: 1000 x 3 / 5; 2 x pi 64/4 x 8 / 5; 2 x 8 x 20 x 20 / 5; 2.5 kg x 9.80665.
    expect(s.glueN).toBeCloseTo(600, 9);
    expect(s.dowelShearN).toBeCloseTo((2 * Math.PI * 16 * 8) / 5, 9);
    expect(s.bearingN).toBeCloseTo(1280, 9);
    expect(s.allowedN).toBeCloseTo(600, 9);
    expect(s.loadN).toBeCloseTo(24.516625, 9);
    expect(s.margin).toBeCloseTo(600 / 24.516625, 9);
    expect(s.caution).toMatch(/no promise/);
  });

  it('knows the peak of a lap joint (Volkersen 1938)', () => {
    // G 500, e 0.2, E 3000, t 4, l 20 -> 6.455; a short lap is even.
    const lap = { gMPa: 500, glueMm: 0.2, eMPa: 3000, thickMm: 4 };
    expect(lapShearPeak({ ...lap, lapMm: 20 })).toBeCloseTo(6.455, 3);
    expect(lapShearPeak({ ...lap, lapMm: 1e-4 })).toBeCloseTo(1, 6);
    expect(lapShearPeak({ ...lap, lapMm: 0 })).toBe(1);
  });
});

const ring = (r: number, n: number, turn = 1): Float64Array =>
  Float64Array.from(
    Array.from({ length: n }, (_, i) => {
      const a = (turn * 2 * Math.PI * i) / n;
      return [r * Math.cos(a), r * Math.sin(a)];
    }).flat(),
  );
const rectangle = (w: number, h: number, turn = 1): Float64Array =>
  Float64Array.from(
    turn > 0
      ? [-w / 2, -h / 2, w / 2, -h / 2, w / 2, h / 2, -w / 2, h / 2]
      : [-w / 2, -h / 2, -w / 2, h / 2, w / 2, h / 2, w / 2, -h / 2],
  );

describe('section figures of a face', () => {
  it('meet the handbook: tube, box, I-section, square over its corner', () => {
    // Tube 25.4 x 1.5: I = pi (D^4 - d^4) / 64 = 8073.3202, W = I / (D / 2) = 635.6945.
    const tube: Patch = { loops: [ring(12.7, 4000), ring(11.2, 4000, -1)] };
    expect(regionFigures(tube.loops).ixMm4 / 8073.3202).toBeCloseTo(1, 5);
    expect(leastModulus(tube) / 635.6945).toBeCloseTo(1, 5);
    // Box 40/36: I = (40^4 - 36^4) / 12 = 73365.3333, W = 3668.2667 about a side; less over the corner.
    const box: Patch = { loops: [rectangle(40, 40), rectangle(36, 36, -1)] };
    expect(regionFigures(box.loops).ixMm4).toBeCloseTo(73365.3333, 3);
    expect(leastModulus(box)).toBeCloseTo(3668.2667 / Math.SQRT2, 3);
    // I 100 x 60, flanges 8, web 5: strong (b h^3 - (b - s)(h - 2t)^3) / 12, weak (2 t b^3 + (h - 2t) s^3) / 12.
    const i: Patch = {
      loops: [
        Float64Array.from([
          -30, -50, 30, -50, 30, -42, 2.5, -42, 2.5, 42, 30, 42, 30, 50, -30, 50, -30, 42, -2.5, 42,
          -2.5, -42, -30, -42,
        ]),
      ],
    };
    const f = regionFigures(i.loops);
    expect(f.ixMm4).toBeCloseTo((60 * 100 ** 3 - 55 * 84 ** 3) / 12, 6);
    expect(f.iyMm4).toBeCloseTo((2 * 8 * 60 ** 3 + 84 * 5 ** 3) / 12, 6);
    expect(leastModulus(i)).toBeLessThanOrEqual(f.iyMm4 / 30 + 1e-9);
    // Square of side a over its corner: a^3 / (6 sqrt 2).
    expect(leastModulus({ loops: [rectangle(10, 10)] })).toBeCloseTo(1000 / (6 * Math.SQRT2), 6);
  });

  it('find the largest circle inside', () => {
    // Right triangle 3-4-5: inradius 1.
    const triangle: Patch = { loops: [Float64Array.from([0, 0, 4, 0, 0, 3])] };
    expect(inscribedCircle(triangle, 1e-4).radiusMm).toBeCloseTo(1, 3);
    const tube: Patch = { loops: [ring(30, 400), ring(24, 400, -1)] };
    expect(inscribedCircle(tube).radiusMm).toBeCloseTo(3, 1);
    // L with arms 10: centre (c, c) with c = r and hypot(10 - c, 10 - c) = r -> r = 10 (2 - sqrt 2).
    const l: Patch = { loops: [Float64Array.from([0, 0, 50, 0, 50, 10, 10, 10, 10, 50, 0, 50])] };
    expect(inscribedCircle(l, 1e-4).radiusMm).toBeCloseTo(10 * (2 - Math.SQRT2), 3);
  });

  it('give the thickness field: half the width along the middle of a bar', () => {
    const field = thicknessField({ loops: [rectangle(100, 20)] }, 50);
    expect(Math.max(...field.distanceMm)).toBeCloseTo(9, 0);
    expect(field.columns).toBe(50);
    expect(field.rows).toBe(10);
  });
});

describe('settingsFor', () => {
  it('takes the looser clearance of the two machines, since one dowel goes into both pieces', () => {
    const on = { desk: 0.1, tall: 0.35, plain: null };
    const clearance = (...machines: string[]): number =>
      settingsFor(JOIN_DEFAULTS, machines, on).holeClearanceMm;
    expect(clearance('desk', 'desk')).toBe(0.1);
    expect(clearance('desk', 'tall')).toBe(0.35);
    expect(clearance('desk', 'plain')).toBe(JOIN_DEFAULTS.holeClearanceMm);
    expect(clearance('unknown')).toBe(JOIN_DEFAULTS.holeClearanceMm);
    expect(settingsFor(JOIN_DEFAULTS, []).holeClearanceMm).toBe(JOIN_DEFAULTS.holeClearanceMm);
  });
});
