import type { CleanFaces, KeepZone, Rod, Vec3 } from '@scantling/core';
import { InvalidArgumentError } from 'commander';

/** Values of `scantling split` that are written in a small notation of their own. */

const numbers = (text: string, count: readonly number[], form: string): number[] => {
  const list = text.split(/[,x]/i).map((t) => (t.trim() === '' ? NaN : Number(t)));
  if (!count.includes(list.length) || !list.every(Number.isFinite))
    throw new InvalidArgumentError(`It must be ${form}.`);
  return list;
};

const AXES: Readonly<Record<string, Vec3>> = { x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };

/** `x`, `-y`, `+z` or three numbers. */
export function parseDirection(text: string): Vec3 {
  const named = /^([+-]?)([xyz])$/i.exec(text.trim());
  if (named) {
    const sign = named[1] === '-' ? -1 : 1;
    return (AXES[(named[2] as string).toLowerCase()] as Vec3).map((c) => c * sign + 0) as unknown as Vec3;
  }
  const d = numbers(text, [3], 'x, y, z (with a sign) or three numbers, such as 0,-1,0') as unknown as Vec3;
  if (d.every((c) => c === 0)) throw new InvalidArgumentError('It must not be all zero.');
  return d;
} // prettier-ignore

/** A direction, or `flat:CM2`; one after another, they are gathered. */
export function parseClean(text: string, before: CleanFaces = { directions: [] }): CleanFaces {
  const flat = /^flat:(.*)$/i.exec(text.trim());
  if (!flat) return { ...before, directions: [...before.directions, parseDirection(text)] };
  const [cm2] = numbers(flat[1] ?? '', [1], 'flat: and an area in cm2, such as flat:20') as [
    number,
  ];
  if (!(cm2 > 0)) throw new InvalidArgumentError('The area must be above 0 cm2.');
  return { ...before, flatFromMm2: 100 * cm2 };
}

/** `z=210` or `0,1,1=150`: the plane square to a direction at that distance from the origin, mm. */
export function parsePlane(text: string): { normal: Vec3; offsetMm: number } {
  const [left, right, ...rest] = text.split('=');
  const at = right === undefined || right.trim() === '' ? NaN : Number(right);
  if (rest.length || !Number.isFinite(at))
    throw new InvalidArgumentError('It must be written as z=210 or 0,1,1=150.');
  const d = parseDirection(left ?? '');
  const l = Math.hypot(...d);
  return { normal: d.map((c) => c / l) as unknown as Vec3, offsetMm: at };
}

/** `sphere:X,Y,Z,R` or `box:X,Y,Z,X,Y,Z` (two corners), mm. */
export function parseKeep(text: string): KeepZone {
  const [kind, values] = text.split(':');
  const form = 'sphere:X,Y,Z,R or box:X,Y,Z,X,Y,Z';
  if (kind === 'sphere' && values) {
    const [x, y, z, r] = numbers(values, [4], form) as [number, number, number, number];
    if (!(r > 0)) throw new InvalidArgumentError('Its radius must be above 0.');
    return { shape: 'sphere', centreMm: [x, y, z], radiusMm: r };
  }
  if (kind === 'box' && values) {
    const c = numbers(values, [6], form);
    const low = [0, 1, 2].map((i) => Math.min(c[i] as number, c[i + 3] as number));
    const high = [0, 1, 2].map((i) => Math.max(c[i] as number, c[i + 3] as number));
    return { shape: 'box', minMm: low as unknown as Vec3, maxMm: high as unknown as Vec3 };
  }
  throw new InvalidArgumentError(`It must be ${form}.`);
}

/** `X,Y,Z:DIRECTION:DIAMETER`, such as 0,0,0:z:25.4. */
export function parseRod(text: string): Rod {
  const [point, along, diameter, ...rest] = text.split(':');
  const form = 'X,Y,Z:DIRECTION:DIAMETER, such as 0,0,0:z:25.4';
  if (rest.length || !point || !along || !(Number(diameter) > 0))
    throw new InvalidArgumentError(`It must be ${form}.`);
  const d = parseDirection(along);
  const l = Math.hypot(...d);
  return {
    pointMm: numbers(point, [3], form) as unknown as Vec3,
    axis: d.map((c) => c / l) as unknown as Vec3,
    diameterMm: Number(diameter),
  };
}
