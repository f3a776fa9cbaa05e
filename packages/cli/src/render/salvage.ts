import type { Salvage } from '@scantling/core';
import { counted, listed, mm } from './numbers.ts';
import { wrap } from './table.ts';

const grams = (g: number | null): string => (g === null ? '?' : `${Math.round(g)} g`);
const hours = (h: number | null): string => (h === null ? '?' : `${h.toFixed(1)} h`);

/** What is left to print, how to join it, what it saves: in sentences. */
export function salvageText(s: Salvage, wrote: readonly string[], width: number): string {
  const { printed: p, cutFace: f } = s;
  const dowels = s.joints.flatMap((j) => j.regions).flatMap((r) => r.dowels);
  const stock = [...new Set(dowels.map((d) => d.stock))];
  const share =
    s.saved.share === null ? '' : ` (${Math.round(100 * s.saved.share)} % of its volume)`;
  const lines = [
    `${s.file}: ${p.layers} layers of ${mm(p.layerMm)} mm are surely there; cut at ${mm(p.cutMm)} mm (the stump is likely ${mm(p.likelyMm)} +- ${mm(p.plusMinusMm)} mm high).`,
    s.written
      ? `The rest is a piece of its own, flat down${s.sound ? ', sound by every check' : ', but not every check holds'}: ${grams(s.remainder.massG)}, ${hours(s.remainder.hours)}, against ${grams(s.whole.massG)} and ${hours(s.whole.hours)} for printing it anew. Saved: ${grams(s.saved.massG)}, ${hours(s.saved.hours)}${share}; supports are in none of these.`
      : `The rest could not be made a piece: ${s.because ?? 'no reason known'}`,
    `Joint: outline ${mm(f.outlineMm)} mm${f.areaMm2 === null ? '' : `, area ${mm(f.areaMm2)} mm2`}${f.regions !== null && f.regions > 1 ? ` in ${f.regions} places` : ''}; ${dowels.length ? `${counted(dowels.length, 'dowel')} (${listed(stock)})` : 'no dowels'}.`,
    ...s.repairs.map((r) => `Mended first: ${r}`),
    ...s.advice,
    ...(wrote.length ? [`Wrote ${listed(wrote)}.`] : []),
    ...s.cautions.map((c) => `Caution: ${c}`),
  ];
  return lines.map((line) => `${wrap(line, width, '  ')}\n`).join('');
}
