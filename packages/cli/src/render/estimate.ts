import type { Estimate } from '@scantling/core';
import { csv } from './csv.ts';
import { counted } from './numbers.ts';
import type { Style } from './style.ts';
import { table, wrap } from './table.ts';

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
    .filter((p) => p.choices.length > 0)
    .map((p) => {
      const cells = p.choices.map((c) => [String(c.walls), `${(100 * c.infillShare).toFixed(0)} %`, c.massG.toFixed(0), c.hours.toFixed(1)]); // prettier-ignore
      return `${style.head(p.file)}\n${table([{ head: 'walls', align: right }, { head: 'infill', align: right }, { head: 'g', align: right }, { head: 'hours', align: right }], cells, width, style)}`; // prettier-ignore
    });
  const notes = [
    ...e.parts.filter((p) => p.because !== null).map((p) => `${p.file}: ${p.because}.`),
    `On ${e.machine}: ${(e.total.massG / 1000).toFixed(2)} kg, ${e.total.hours.toFixed(0)} h one after the other.`,
    ...e.total.spools.map((s) => `${s.material}: ${s.metres.toFixed(0)} m, ${counted(s.spools, 'spool')} with the reserve.`), // prettier-ignore
    `Low and high are a factor ${(1 + e.errorShare).toFixed(2)} off the likely hours: not fitted to your machine; \`scantling plan\` fits it to the log of five prints or more.`,
  ];
  return [table(columns, rows, width, style), ...choices, notes.map((n) => `${wrap(n, width, '  ')}\n`).join('')].join('\n'); // prettier-ignore
}

export const estimateCsv = (e: Estimate): string =>
  csv(
    ['file', 'quantity', 'material', 'mass_g', 'filament_m', 'hours_low_h', 'hours_h', 'hours_high_h', 'walls_g', 'skins_g', 'infill_g', 'supports_g', 'layers'], // prettier-ignore
    e.parts.map(({ file, quantity, material, estimate: x }) => [file, quantity, material, x?.massG, x?.filamentM, x?.hours.low, x?.hours.likely, x?.hours.high, x?.mass.wallsG, x?.mass.skinsG, x?.mass.infillG, x?.mass.supportsG, x?.layers]), // prettier-ignore
  );
