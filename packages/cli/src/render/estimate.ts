import type { Estimate, WholeOrSplit } from '@scantling/core';
import { csv } from './csv.ts';
import { counted, hoursModelText, mass } from './numbers.ts';
import type { Style } from './style.ts';
import { clean, table, wrap } from './table.ts';

/** Filament and hours per part, what other walls and infill would take, and the sums. */
export function estimateText(e: Estimate, width: number, style: Style): string {
  const right = 'right' as const;
  const columns = [
    { head: 'part', least: 12 },
    { head: 'n', align: right },
    { head: 'g', align: right },
    { head: 'm', align: right },
    { head: 'hours', align: right },
    { head: 'low-high h', align: right },
    { head: 'walls g', align: right, optional: true },
    { head: 'infill g', align: right, optional: true },
    { head: 'supports g', align: right, optional: true },
  ];
  const rows = e.parts.map(({ file, quantity, estimate: x }) =>
    x
      ? [file, String(quantity), x.massG.toFixed(0), x.filamentM.toFixed(1), x.hours.likely.toFixed(1), `${x.hours.low.toFixed(1)}-${x.hours.high.toFixed(1)}`, x.mass.wallsG.toFixed(0), x.mass.infillG.toFixed(0), x.mass.supportsG.toFixed(0)] // prettier-ignore
      : [file, String(quantity), '-', '-', '-', '-', '-', '-', '-'],
  );
  const choices = e.parts
    .filter((p) => p.choices.length > 0 || p.wholeOrSplit)
    .map((p) => {
      const sides = p.wholeOrSplit ? wholeOrSplitText(p.wholeOrSplit, e.machine, width) : '';
      if (p.choices.length === 0) return `${style.head(clean(p.file))}\n${sides}`;
      const cells = p.choices.map((c) => [String(c.walls), `${(100 * c.infillShare).toFixed(0)} %`, c.massG.toFixed(0), c.hours.toFixed(1)]); // prettier-ignore
      return `${style.head(clean(p.file))}\n${table([{ head: 'walls', align: right }, { head: 'infill', align: right }, { head: 'g', align: right }, { head: 'hours', align: right }], cells, width, style)}${sides}`; // prettier-ignore
    });
  const notes = [
    ...e.parts.filter((p) => p.because !== null).map((p) => `${p.file}: ${p.because}.`),
    `On ${e.machine}: ${mass(e.total.massG)}, ${e.total.hours.toFixed(e.total.hours < 10 ? 1 : 0)} h one after the other.`,
    ...e.total.spools.map((s) => `${s.material}: ${s.metres.toFixed(0)} m, ${counted(s.spools, 'spool')} with the reserve.`), // prettier-ignore
    hoursModelText(e.machine, e.hoursModel),
  ];
  return [table(columns, rows, width, style), ...choices, notes.map((n) => `${wrap(n, width, '  ')}\n`).join('')].join('\n'); // prettier-ignore
}

const hoursText = (h: WholeOrSplit['whole']['hours']): string =>
  `${h.likely.toFixed(1)} h (${h.low.toFixed(1)}-${h.high.toFixed(1)})`;

/** A part in one piece and cut up, in sentences. */
function wholeOrSplitText(c: WholeOrSplit, machine: string, width: number): string {
  const { whole, split } = c;
  const more = (x: number, digits: number, unit: string): string =>
    `${Math.abs(x).toFixed(digits)} ${unit} ${x < 0 ? 'less' : 'more'}`;
  const lines = [
    whole.possible
      ? `Whole: ${whole.massG.toFixed(0)} g, ${hoursText(whole.hours)}, one print.`
      : `Whole: not possible on ${machine}; on one large enough for ${whole.sizeMm.map((x) => x.toFixed(0)).join(' x ')} mm and otherwise like it: ${whole.massG.toFixed(0)} g, ${hoursText(whole.hours)}.`, // prettier-ignore
    split
      ? `${whole.possible ? 'Cut across the middle' : 'Split'}: ${split.pieces.length} pieces, ${split.massG.toFixed(0)} g, ${hoursText(split.hours)}; longest single print ${hoursText(split.longest.hours)}. Beside the whole ${more(split.extraMassG, 0, 'g')} and ${more(split.extraHours, 1, 'h')}, and dowels, glue and ${counted(split.pieces.length - 1, 'more start')}.` // prettier-ignore
      : `Split: no figures, ${c.because ?? 'nothing is known'}.`,
  ];
  return lines.map((line) => `${wrap(line, width, '  ')}\n`).join('');
}

export const estimateCsv = (e: Estimate): string =>
  csv(
    ['file', 'quantity', 'material', 'mass_g', 'filament_m', 'hours_low_h', 'hours_h', 'hours_high_h', 'walls_g', 'skins_g', 'infill_g', 'supports_g', 'layers'], // prettier-ignore
    e.parts.map(({ file, quantity, material, estimate: x }) => [file, quantity, material, x?.massG, x?.filamentM, x?.hours.low, x?.hours.likely, x?.hours.high, x?.mass.wallsG, x?.mass.skinsG, x?.mass.infillG, x?.mass.supportsG, x?.layers]), // prettier-ignore
  );
