import type { OrientList, OrientResult, WayTakes, WayUp } from '@scantling/core';
import { csv } from './csv.ts';
import { mm } from './numbers.ts';
import type { Style } from './style.ts';
import { clean, table, wrap, type Cell, type Column } from './table.ts';

const COLUMNS: readonly Column[] = [
  { head: 'best at', least: 22 },
  { head: 'turns X Y Z deg', align: 'right' },
  { head: 'support cm3', align: 'right' },
  { head: 'tips at deg', align: 'right' },
  { head: 'height mm', align: 'right' },
  { head: 'filament g', align: 'right', optional: true },
  { head: 'hours', align: 'right', optional: true },
  { head: 'scars cm2', align: 'right', optional: true },
  { head: 'contact cm2', align: 'right', optional: true },
  { head: 'islands ~', align: 'right', optional: true },
];

/** Per part one table of ways up, the saving in a sentence, and the cautions. */
export function orientText(list: OrientList, width: number, style: Style): string {
  return list.parts
    .map((part) => {
      const { name, result, error, takes } = part;
      if (!result)
        return `${style.head(clean(name))}\n${wrap(error?.message ?? 'not judged', width)}\n`;
      const cautions = result.cautions.map((c) => `${style.warn(wrap(`! ${c}`, width, '  '))}\n`);
      const ways = result.ways.length
        ? table(COLUMNS, result.ways.map((w, i) => row(w, takes?.[i], style)), width, style)
        : ''; // prettier-ignore
      return `${style.head(clean(name))}\n${ways}${wrap(saving(part, result), width)}\n${cautions.join('')}`;
    })
    .join('\n');
}

function row(way: WayUp, takes: WayTakes | undefined, style: Style): (Cell | string)[] {
  const words = way.bestAt;
  const tip = `${way.stability.leastTipDeg.toFixed(0)}${way.steady ? '' : ' !'}`;
  return [
    words.length > 1 ? `${words[0]} (+${words.length - 1})` : (words[0] ?? ''),
    turns(way),
    cm3(way.supports.volumeMm3),
    { text: tip, paint: way.steady ? undefined : style.warn },
    mm(way.heightMm),
    takes ? takes.massG.toFixed(0) : '-',
    takes ? takes.hours.likely.toFixed(1) : '-',
    mm((way.supports.touchedMm2 + way.supports.standingOnPartMm2) / 100),
    mm(way.contact.areaMm2 / 100),
    String(way.islands.count),
  ];
}

type Entry = OrientList['parts'][number];

/** "supports 412 -> 38 cm3" against the part as modelled, and what else is known of the choice. */
function saving({ takes, asModelledTakes, material }: Entry, result: OrientResult): string {
  const best = result.ways[0];
  const before = cm3(result.asModelledSupportsMm3);
  if (!best) return `Supports as modelled ${before} cm3; no way up has room in ${result.envelope}.`;
  const placed = result.asModelled ? '' : ' (it does not fit as modelled)';
  const change = (before: number | undefined, now: number, digits: number): string =>
    `${before === undefined ? '' : `${before.toFixed(digits)} -> `}${now.toFixed(digits)}`;
  const first = takes?.[0];
  const made = first
    ? ` About ${change(asModelledTakes?.massG, first.massG, 0)} g of ${material} and ${change(asModelledTakes?.hours.likely, first.hours.likely, 1)} h (${first.hours.low.toFixed(1)} to ${first.hours.high.toFixed(1)}).`
    : '';
  const spans = best.bridges.longestMm > 0 ? `, bridges up to ${mm(best.bridges.longestMm)} mm` : '';
  const clean = best.supports.cleanTouchedMm2 === null ? '' : `, ${mm(best.supports.cleanTouchedMm2 / 100)} cm2 of the clean faces scarred`;
  const load = best.loadToLayersDeg === null ? '' : `, load at ${best.loadToLayersDeg.toFixed(0)} degrees to the layers`;
  return `Supports ${before} -> ${cm3(best.supports.volumeMm3)} cm3${placed}, ${best.layers} layers, in ${result.envelope}; overhangs up to ${best.supports.largestOverhangDeg.toFixed(0)} degrees${spans}${clean}${load}, widest circle on the plate ${mm(best.contact.circleDiameterMm)} mm.${made}`;
} // prettier-ignore

const cm3 = (mm3: number): string => mm(mm3 / 1000);
const turns = (way: WayUp): string =>
  way.turnsDeg.map((d) => d.toFixed(1).replace(/^-0\.0$/, '0.0')).join(' ');

/** One row per way up, raw numbers. */
export function orientCsv(list: OrientList): string {
  const head = [
    'part', 'envelope', 'rank', 'bestAt', 'turnXDeg', 'turnYDeg', 'turnZDeg', 'supportMm3', 'bridgedMm3',
    'touchedMm2', 'standingOnPartMm2', 'cleanTouchedMm2', 'contactMm2', 'circleDiameterMm', 'islands',
    'heightMm', 'layers', 'steady', 'tipDeg', 'leastTipDeg', 'loadToLayersDeg', 'bedLiftsAtMmPerS2',
    'slowFromMm', 'largestOverhangDeg', 'massG', 'supportsG', 'hoursLikely', 'score',
    'supportAsModelledMm3', 'error',
  ]; // prettier-ignore
  const rows = list.parts.flatMap(({ name, result, takes, error }) => {
    if (!result?.ways.length)
      return [[name, result?.envelope, ...head.slice(2, -2).map(() => null), result?.asModelledSupportsMm3, error?.code ?? 'NO_PLACE']]; // prettier-ignore
    return result.ways.map((w, i) => [
      name, result.envelope, i + 1, w.bestAt.join('; '), ...w.turnsDeg, w.supports.volumeMm3, w.supports.bridgedMm3,
      w.supports.touchedMm2, w.supports.standingOnPartMm2, w.supports.cleanTouchedMm2, w.contact.areaMm2,
      w.contact.circleDiameterMm, w.islands.count, w.heightMm, w.layers, w.steady, w.stability.tipDeg,
      w.stability.leastTipDeg, w.loadToLayersDeg, w.bed?.liftsAtMmPerS2, w.bed?.slowFromMm, w.supports.largestOverhangDeg,
      takes?.[i]?.massG, takes?.[i]?.supportsG, takes?.[i]?.hours.likely, w.score,
      result.asModelledSupportsMm3, null,
    ]); // prettier-ignore
  });
  return csv(head, rows);
}
