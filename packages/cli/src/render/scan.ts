import type { Scan, ScanPart } from '@scantling/core';
import { mm, mmTriple, scaleFactor } from './numbers.ts';
import { meshWord, nameShortener, scanSentences, VERDICT_WORD } from './scan-words.ts';
import { scanRemarks } from './scan-remarks.ts';
import type { Style } from './style.ts';
import { table, wrap, type Cell, type Column } from './table.ts';

/** From this width on the table tells more. */
const WIDE = 104;

/** The table, worst news first, the remarks below it, and the kit in a few sentences. */
export function scanText(scan: Scan, width: number, style: Style): string {
  const several = scan.settings.machines.length > 1;
  const wide = width >= WIDE;
  const asked = scan.parts.some((part) => part.supports);
  const short = nameShortener(scan.parts);
  const columns: Column[] = [
    { head: 'part', least: 12 },
    { head: 'size mm', align: 'right' },
    { head: 'verdict' },
    { head: 'scale', align: 'right' },
    { head: 'room mm', align: 'right', optional: asked },
    ...(several ? [{ head: 'machine', least: 7 }] : []),
    { head: 'mesh', optional: asked },
    ...(asked ? [{ head: 'supports cm3', align: 'right' as const }] : []),
    ...(wide ? EXTRA : []),
  ];
  const paint = paints(style);
  const rows = scan.parts.map((part): (Cell | string)[] => [
    short(part),
    part.size ? mmTriple(part.size) : '-',
    { text: verdictText(part), paint: paint[part.verdict] },
    scaleFactor(part.scale?.atLeast),
    part.clearanceMm ? mm(Math.min(...part.clearanceMm)) : '-',
    ...(several ? [part.verdict === 'too-big' ? '-' : (part.machine ?? '-')] : []),
    { text: meshWord(part), paint: part.mesh?.verdict === 'open' ? style.warn : undefined },
    ...(asked ? [supportsText(part)] : []),
    ...(wide ? extraCells(part) : []),
  ]);
  const blocks = [
    rows.length ? table(columns, rows, width, style) : '',
    scanRemarks(scan, short)
      .map((line) => `${wrap(line, width, '  ')}\n`)
      .join(''),
    scanSentences(scan, short)
      .map((line) => `${wrap(line, width)}\n`)
      .join(''),
  ];
  return blocks.filter(Boolean).join('\n');
}

const EXTRA: readonly Column[] = [
  { head: 'turns X Y Z deg', align: 'right', optional: true },
  { head: 'volume cm3', align: 'right', optional: true },
  { head: 'triangles', align: 'right', optional: true },
];

const extraCells = (part: ScanPart): string[] => [
  turnsText(part),
  part.mesh?.volumeMm3 ? mm(part.mesh.volumeMm3 / 1000) : '-',
  part.mesh ? String(part.mesh.triangles) : '-',
];

function supportsText({ supports }: ScanPart): string {
  if (!supports) return '-';
  const best = supports.bestMm3 === null ? '?' : mm(supports.bestMm3 / 1000);
  return `${mm(supports.asModelledMm3 / 1000)} -> ${best}`;
}

/** More pieces than anybody makes: a part of that size is in another unit. */
const MANY = 999;

/** The verdict in a word, with the least number of pieces where that is proved. */
const verdictText = (part: ScanPart): string =>
  part.piecesAtLeast && part.piecesAtLeast.count > 1
    ? `${VERDICT_WORD[part.verdict]} ${Math.min(part.piecesAtLeast.count, MANY)}+`
    : VERDICT_WORD[part.verdict];

function turnsText(part: ScanPart): string {
  const turned = part.verdict === 'fits-turned' || part.verdict === 'fits-tilted';
  return turned && part.rotation
    ? part.rotation.turnsDeg.map((deg) => deg.toFixed(1).replace(/^-0\.0$/, '0.0')).join(' ')
    : '-';
}

const paints = (style: Style): Readonly<Record<ScanPart['verdict'], Cell['paint']>> => ({
  fits: style.good,
  'fits-turned': style.good,
  'fits-tilted': style.minor,
  'too-big': style.warn,
  undecided: style.bad,
  unreadable: style.bad,
});
