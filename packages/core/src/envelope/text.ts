import { ScantlingError } from '../errors.ts';
import { boxEnvelope, type Envelope } from './envelope.ts';

const NUMBER = String.raw`(\d+(?:\.\d+)?|\.\d+)`;
const BY = String.raw`\s*[x\u00d7]\s*`;
const BOX = new RegExp(`^${NUMBER}${BY}${NUMBER}${BY}${NUMBER}$`, 'i');
const ROUND = new RegExp(`^d\\s*${NUMBER}${BY}${NUMBER}$`, 'i');

/**
 * An envelope from one word: `220x220x250` is width x depth x height of a box in mm, `d300x400`
 * the diameter and height over a round plate. Without margins and keep-outs.
 * @throws `ENVELOPE_TEXT`
 * @example parseEnvelope('220x220x250').heightMm // 250
 */
export function parseEnvelope(text: string): Envelope {
  const trimmed = text.trim();
  const sizes = (BOX.exec(trimmed) ?? ROUND.exec(trimmed))?.slice(1).map(Number);
  if (!sizes?.every((size) => size > 0))
    throw new ScantlingError('ENVELOPE_TEXT', `"${text}" is no build envelope.`, {
      remedy:
        'Give width x depth x height in mm, such as 220x220x250, or d, diameter x height for a round plate, such as d300x400.',
    });
  const [a = 0, b = 0, c = 0] = sizes;
  if (sizes.length === 3) return boxEnvelope(a, b, c);
  return {
    ...boxEnvelope(a, a, b, `d${a}x${b}`),
    plate: { shape: 'round', diameterMm: a },
  };
}

/** Plate and height in words: `220 x 220 x 250 mm`, `round 300 x 400 mm`. */
export function describeEnvelope(envelope: Envelope): string {
  const { plate, heightMm } = envelope;
  if (plate.shape === 'box') return `${plate.widthMm} x ${plate.depthMm} x ${heightMm} mm`;
  if (plate.shape === 'round') return `round ${plate.diameterMm} x ${heightMm} mm`;
  return `${plate.outlineMm.length}-cornered plate x ${heightMm} mm`;
}

/** The same envelope with these margins in place of its own, where given. */
export const withMargins = (
  envelope: Envelope,
  margins: { readonly sideMm?: number | undefined; readonly topMm?: number | undefined },
): Envelope => ({
  ...envelope,
  marginSideMm: margins.sideMm ?? envelope.marginSideMm,
  marginTopMm: margins.topMm ?? envelope.marginTopMm,
});
