/**
 * Inside the library everything is mm, g, s and radians; names say so where it matters.
 * Degrees and hours appear only in results meant for people.
 */

export type LengthUnit = 'mm' | 'cm' | 'in' | 'm' | 'ft' | 'um';

/** Exact by definition: 1 in = 25.4 mm, 1 ft = 12 in (agreement of 1 July 1959). */
export const MM_PER_UNIT: Readonly<Record<LengthUnit, number>> = {
  um: 0.001,
  mm: 1,
  cm: 10,
  in: 25.4,
  ft: 304.8,
  m: 1000,
};

/** Standard gravity, exact by definition (3rd CGPM, 1901), in m/s2. */
export const STANDARD_GRAVITY = 9.80665;

export const degrees = (radians: number): number => (radians * 180) / Math.PI;
export const radians = (deg: number): number => (deg * Math.PI) / 180;
