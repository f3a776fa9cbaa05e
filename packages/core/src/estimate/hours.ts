import type { PartEstimate } from './schema.ts';
import type { EstimateSettings } from './settings.ts';

/** Hours of an estimate under other factors and another spread, as after a fit to the log. */
export function hoursWith(
  parts: PartEstimate['parts'],
  s: Pick<EstimateSettings, 'motionFactor' | 'flowFactor' | 'overheadFactor' | 'errorShare'>,
): PartEstimate['hours'] {
  const likely =
    parts.motionH * s.motionFactor +
    parts.flowH * s.flowFactor +
    parts.overheadH * s.overheadFactor;
  return { low: likely / (1 + s.errorShare), likely, high: likely * (1 + s.errorShare) };
}
