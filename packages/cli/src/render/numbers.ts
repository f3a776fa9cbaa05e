import type { HoursModel } from '@scantling/core';

/** Numbers for people: rounded, with units where no column head gives them. Machines get raw ones. */

/** From here on digits are counted, not written: 3.2e+12. */
const VAST = 1e7;

/** Length in mm: 0.46, 12.3, 400; `-` when unknown. */
export function mm(value: number | null | undefined): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '-';
  const size = Math.abs(value);
  if (size >= VAST) return value.toExponential(1);
  return plain(value, size < 10 ? 2 : size < 100 ? 1 : 0);
}

/** `a x b x c`, each as `mm` writes it; what is there but rounds to nothing is `<0.01`. */
export const mmTriple = (size: readonly number[]): string =>
  size.map((side) => (side > 0 && side < 0.005 ? '<0.01' : mm(side))).join(' x ');

/** A scale such as 0.582 or 12.4; rounded down, so that what is printed fits. */
export function scaleFactor(value: number | null | undefined): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '-';
  if (value >= VAST) return value.toExponential(1);
  const digits = value < 10 ? 3 : value < 100 ? 1 : 0;
  const unit = 10 ** digits;
  return (Math.floor(value * unit + 1e-9) / unit).toFixed(digits);
}

/** 340 g, 12.50 kg. */
export const mass = (g: number): string =>
  g < 999.5 ? `${g.toFixed(0)} g` : `${(g / 1000).toFixed(2)} kg`;

/** 1.2 kB, 34 MB: decimal prefixes (ISO 80000-13). */
export function bytes(count: number): string {
  const units = ['B', 'kB', 'MB', 'GB', 'TB'];
  let value = count;
  let unit = 0;
  while (value >= 1000 && unit < units.length - 1) {
    value /= 1000;
    unit++;
  }
  return `${unit === 0 || value >= 100 ? Math.round(value) : plain(value, 1)} ${units[unit]}`;
}

/** "1 part", "3 parts", "2 bodies". */
export const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

/** How a machine's hours were computed, and how far they were off, in a sentence or two. */
export function hoursModelText(machine: string, m: HoursModel): string {
  const per = (x: number): string => `${(100 * x).toFixed(0)} %`;
  const { before, after, factors: f } = m;
  const spread = `Low and high are a factor ${(1 + m.errorShare).toFixed(2)} off the likely hours`;
  if (m.fitted && before && after)
    return `${machine}: hours fitted to ${counted(m.prints, 'print')} of the log (moves x ${f.motion.toFixed(2)}, melt flow x ${f.flow.toFixed(2)}, all else x ${f.overhead.toFixed(2)}); median error ${per(before.median)} before, ${per(after.median)} after, largest ${per(before.largest)} before, ${per(after.largest)} after. ${spread}.`; // prettier-ignore
  const held = before
    ? `${counted(m.prints, 'finished print')} so far, off by ${per(before.median)} (median), ${per(before.largest)} at most`
    : 'no finished prints yet';
  return `${machine}: default model of the hours, not fitted to the machine: that takes five finished prints in the log, each alone on its plate (${held}). ${spread}: an estimate.`; // prettier-ignore
}

/** "a", "a and b", "a, b and c". */
export function listed(items: readonly string[]): string {
  if (items.length < 2) return items.join('');
  return `${items.slice(0, -1).join(', ')} and ${items.at(-1)}`;
}

/** Fixed decimals without trailing zeros and without a negative zero. */
function plain(value: number, digits: number): string {
  const text = value.toFixed(digits);
  const short = text.includes('.') ? text.replace(/\.?0+$/, '') : text;
  return short === '-0' ? '0' : short;
}
