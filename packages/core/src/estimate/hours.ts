import type { PartEstimate } from './schema.ts';
import type { EstimateSettings } from './settings.ts';

/** What of a machine's settings turns computed hours into real ones, low to high. */
export type HoursFactors = Pick<
  EstimateSettings,
  'motionFactor' | 'flowFactor' | 'overheadFactor' | 'errorShare'
>;

/** Hours of an estimate under other factors and another spread, as after a fit to the log. */
export function hoursWith(parts: PartEstimate['parts'], s: HoursFactors): PartEstimate['hours'] {
  const likely =
    parts.motionH * s.motionFactor +
    parts.flowH * s.flowFactor +
    parts.overheadH * s.overheadFactor;
  return { low: likely / (1 + s.errorShare), likely, high: likely * (1 + s.errorShare) };
}
