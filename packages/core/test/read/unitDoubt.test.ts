import { describe, expect, it } from 'vitest';
import { unitDoubt, type SizedPart } from '../../src/index.ts';

/** Parts of one folder by their longest sides; the other two are 0.4 and 0.3 of it. */
const folder = (...longest: number[]): SizedPart[] =>
  longest.map((l, i) => ({
    name: `part-${i}`,
    folder: 'f',
    // Different shapes, so that no two are scaled twins by accident.
    size: [l, l * (0.4 + 0.01 * i), l * (0.3 + 0.017 * i)],
    unitKnown: false,
  }));
const units = (parts: SizedPart[]): string[] => unitDoubt(parts).map((d) => d?.units.join('/') ?? '-'); // prettier-ignore

describe('unit doubt', () => {
  it('suspects metres of a limb of 0.45 units beside brackets of 60', () => {
    const [limb, ...brackets] = unitDoubt(folder(0.45, 60, 62, 58));
    expect(limb).toMatchObject({ rule: 'below-1', units: ['m'] });
    expect(limb?.sizeMm[0]).toBeCloseTo(450, 9);
    expect(limb?.evidence).toContain('0.45');
    expect(limb?.evidence).toContain('62');
    expect(brackets).toEqual([null, null, null]);
  });

  it('does not take a 3-unit pin among 150-unit parts for inches', () => {
    expect(units(folder(3, 150, 140, 160))).toEqual(['-', '-', '-', '-']);
  });

  it('says that a whole folder under 20 units may be in inches', () => {
    expect(units(folder(4, 12, 19, 6.5))).toEqual(['in', 'in', 'in', 'in']);
    expect(units(folder(4, 12, 20.5, 6.5))).toEqual(['-', '-', '-', '-']);
    expect(units(folder(0.5, 3.5, 8))).toEqual(['in', 'in', 'in']);
  });

  it('names both units where metres and inches would both do', () => {
    expect(units(folder(0.2, 0.3, 0.4, 1.2))).toEqual(['m/in', 'm/in', 'm/in', 'm/in']);
    expect(units(folder(1.2, 1.5, 2.2, 0.5))).toEqual(['in/m', 'in/m', 'in/m', 'in/m']);
  });

  it('compares parts of one folder only', () => {
    const metres = folder(0.11, 0.15, 0.03);
    const millimetres = folder(110, 262).map((part) => ({ ...part, folder: 'g' }));
    expect(units([...metres, ...millimetres])).toEqual(['m', 'm', 'm', '-', '-']);
  });

  it('lets a part whose unit is known speak for the folder', () => {
    const parts = folder(4, 12);
    expect(units([{ ...parts[0]!, unitKnown: true }, parts[1]!])).toEqual(['-', '-']);
  });

  it('finds a twin in another unit, in whatever position it was saved', () => {
    const boot: SizedPart = { name: 'boot-left', folder: 'f', size: [304.8, 101.6, 127.5], unitKnown: false }; // prettier-ignore
    for (const [unit, factor] of [
      ['in', 25.4],
      ['m', 1000],
      ['cm', 10],
    ] as const) {
      const other = { ...boot, name: 'boot-right', size: [127.5 / factor, 304.8 / factor, 101.6 / factor] as const }; // prettier-ignore
      const [, doubt] = unitDoubt([boot, other]);
      expect(doubt).toMatchObject({ rule: 'twin', units: [unit] });
      expect(doubt?.evidence).toContain('boot-left');
      expect(unitDoubt([boot, { ...other, size: [1.01 * other.size[0], other.size[1], other.size[2]] }])[1]?.rule).not.toBe('twin'); // prettier-ignore
    }
  });

  it('leaves a part without size alone', () => {
    expect(units(folder(0, 60))).toEqual(['-', '-']);
  });
});

describe('unit doubt on two published folders (sizes measured in their files)', () => {
  // Longest sides in the files' own numbers; the first folder is in metres, the second in mm.
  const metres = [0.114, 0.139, 0.1141, 0.11, 0.15, 0.1501, 0.0348, 0.1366, 0.1522, 0.1454, 0.0591];
  const millimetres = [238.43, 38.32, 262, 137.4, 143.55, 150.03, 56.5, 240.72, 114.2, 110, 98.5];

  it('doubts every part of the first, none of the second', () => {
    expect(new Set(units(folder(...metres)))).toEqual(new Set(['m']));
    expect(new Set(units(folder(...millimetres)))).toEqual(new Set(['-']));
  });

  it('tells them apart when they share a folder', () => {
    const all = units(folder(...metres, ...millimetres));
    expect(all).toEqual([...metres.map(() => 'm'), ...millimetres.map(() => '-')]);
  });
});
