import { describe, expect, it } from 'vitest';
import {
  estimateSettingsSchema,
  extrusionSpeed,
  filamentSectionMm2,
  gramsOf,
  linePitchMm,
  lineSectionMm2,
  lineWidthMm,
  materialOf,
  metresOf,
  moveTimeS,
} from '../../src/estimate/index.ts';

describe('filament arithmetic (sections and lengths recomputed from pi d2/4 and the densities)', () => {
  it('knows the sections of 1.75 and 2.85 mm', () => {
    expect(filamentSectionMm2(1.75)).toBeCloseTo(2.4052819, 7);
    expect(filamentSectionMm2(2.85)).toBeCloseTo(6.3793966, 7);
  });

  it.each([
    ['PLA', 1.75, 335.28],
    ['PETG', 1.75, 327.36],
    ['ABS', 1.75, 399.76],
    ['ASA', 1.75, 388.55],
    ['PA6', 1.75, 364.69],
    ['TPU', 1.75, 343.6],
    ['PC', 1.75, 346.46],
    ['PLA', 2.85, 126.415],
    ['PETG', 2.85, 123.429],
    ['ABS', 2.85, 150.726],
  ])('a kilogram of %s at %f mm is %f m long', (name, diameter, metres) => {
    const { densityGPerCm3 } = materialOf(name);
    const got = metresOf(1000, densityGPerCm3, diameter);
    expect(Math.abs(got - metres)).toBeLessThan(metres * 2e-5);
    expect(gramsOf(got, densityGPerCm3, diameter)).toBeCloseTo(1000, 9);
  });

  it('takes the own figures of a user and refuses what it does not know', () => {
    const own = { Glow: { densityGPerCm3: 1.5, source: 'spool label', spoolG: 750 } };
    expect(materialOf('glow', own).densityGPerCm3).toBe(1.5);
    expect(() => materialOf('wool', own)).toThrow(expect.objectContaining({ code: 'UNKNOWN_MATERIAL' })); // prettier-ignore
  });
});

describe('a printed line (rectangle with half-round sides)', () => {
  it('has the section 0.0814159 mm2 at 0.45 x 0.2, 0.90462 of the rectangle', () => {
    expect(lineSectionMm2(0.45, 0.2)).toBeCloseTo(0.0814159, 7);
    expect(lineSectionMm2(0.45, 0.2) / (0.45 * 0.2)).toBeCloseTo(0.90462, 5);
    expect(lineWidthMm(lineSectionMm2(0.45, 0.2), 0.2)).toBeCloseTo(0.45, 12);
    expect(linePitchMm(0.45, 0.2) * 0.2).toBeCloseTo(lineSectionMm2(0.45, 0.2), 12);
  });

  it('needs 8.14159 mm3/s at 100 mm/s and 3.3848809 mm of filament per 100 mm', () => {
    expect(lineSectionMm2(0.45, 0.2) * 100).toBeCloseTo(8.14159, 5);
    expect((lineSectionMm2(0.45, 0.2) * 100) / filamentSectionMm2(1.75)).toBeCloseTo(3.3848809, 7);
    expect(extrusionSpeed(200, 12, lineSectionMm2(0.45, 0.2))).toBeCloseTo(12 / 0.0814159, 3);
    expect(extrusionSpeed(100, 12, lineSectionMm2(0.45, 0.2))).toBe(100);
  });
});

describe('a move from rest to rest (trapezoid of speed, closed form)', () => {
  it.each([
    [50, 100, 1000, 0.6],
    [10, 100, 1000, 0.2],
    [5, 100, 1000, 0.1414214],
    [100, 200, 5000, 0.54],
    [8, 200, 5000, 0.08],
    [4, 200, 5000, 0.0565685],
  ])('%f mm at %f mm/s and %f mm/s2 takes %f s', (l, v, a, t) => {
    expect(moveTimeS(l, v, a)).toBeCloseTo(t, 7);
  });
});

describe('settings', () => {
  it('stand by themselves and name a source for every figure', () => {
    const parsed = estimateSettingsSchema.parse({});
    expect(parsed.lineWidthMm).toBe(0.45);
    for (const [key, field] of Object.entries(estimateSettingsSchema.shape))
      expect(field.description, key).toMatch(/\(.+\)$/);
  });
});
