import { ScantlingError } from '../errors.ts';
import { MATERIALS, type Material, type MaterialsSettings } from './settings.ts';

/** @throws ScantlingError `UNKNOWN_MATERIAL` naming those that are known */
export function materialOf(name: string, own: MaterialsSettings = {}): Material {
  const all = { ...MATERIALS, ...own };
  const key = Object.keys(all).find((k) => k.toLowerCase() === name.toLowerCase());
  const found = key === undefined ? undefined : all[key];
  if (!found)
    throw new ScantlingError('UNKNOWN_MATERIAL', `No density is known for "${name}".`, {
      remedy: `Use ${Object.keys(all).join(', ')}, or give it under materials in the workshop file.`,
    });
  return found;
}

/** Cross-section of round filament, mm2. */
export const filamentSectionMm2 = (diameterMm: number): number => (Math.PI * diameterMm ** 2) / 4;

/** Length of filament in a mass, m. */
export const metresOf = (massG: number, densityGPerCm3: number, diameterMm: number): number =>
  massG / densityGPerCm3 / filamentSectionMm2(diameterMm);

/** Mass of a length of filament, g. */
export const gramsOf = (lengthM: number, densityGPerCm3: number, diameterMm: number): number =>
  lengthM * densityGPerCm3 * filamentSectionMm2(diameterMm);

/**
 * Cross-section of one printed line, mm2: a rectangle with half-round sides, width w, height h.
 * Lines laid side by side at the pitch w - h (1 - pi/4) so fill the layer exactly.
 */
export const lineSectionMm2 = (widthMm: number, heightMm: number): number =>
  heightMm * (widthMm - heightMm) + (Math.PI * heightMm ** 2) / 4;

/** Distance of neighbouring lines that fill a layer without gaps, mm. */
export const linePitchMm = (widthMm: number, heightMm: number): number =>
  widthMm - heightMm * (1 - Math.PI / 4);

/** Width of the line that has a given cross-section, mm: the inverse of `lineSectionMm2`. */
export const lineWidthMm = (sectionMm2: number, heightMm: number): number =>
  sectionMm2 / heightMm + heightMm * (1 - Math.PI / 4);

/** Speed at which a line is laid: the wanted one, or what the nozzle can melt, mm/s. */
export const extrusionSpeed = (wanted: number, meltFlow: number, sectionMm2: number): number =>
  Math.min(wanted, meltFlow / sectionMm2);

/**
 * Time of a straight move from rest to rest with a trapezoid of speed, s: L/v + v/a when the speed
 * is reached, else 2 sqrt(L/a).
 */
export function moveTimeS(lengthMm: number, speed: number, acceleration: number): number {
  if (lengthMm <= 0) return 0;
  return lengthMm >= (speed * speed) / acceleration
    ? lengthMm / speed + speed / acceleration
    : 2 * Math.sqrt(lengthMm / acceleration);
}
