import type { Scan, ScanPart } from '@scantling/core';
import { listed, mmTriple } from './numbers.ts';
import type { ShortName } from './scan-words.ts';

/** Left to --json: nothing comes of it. */
const HARMLESS = new Set(['COLOUR_IGNORED', 'MISSING_ENDSOLID', 'LINES_IGNORED']);

/** Of one kind of remark, so many are told whole. */
const TOLD = 3;

/** More names than this are counted, not listed. */
const NAMES = 6;

/** What deserves a look, one line per part or per kind of trouble. */
export function scanRemarks(scan: Scan, short: ShortName): string[] {
  const lines: string[] = [];
  for (const part of scan.parts) if (part.error) lines.push(errorLine(part, short));

  const open = scan.parts.filter((part) => part.mesh?.verdict === 'open');
  if (open.length) lines.push(`${names(open, short)}: open, so the volume is unknown.`);

  const flaws = grouped(scan.parts, ({ mesh }) =>
    mesh?.verdict === 'usable' ? mesh.findings : [],
  );
  for (const [code, parts] of flaws)
    lines.push(`${names(parts, short)}: ${FLAWS[code] ?? code}; usable all the same.`);

  // A whole folder in metres is one remark, not one a part.
  const doubts = grouped(scan.parts, ({ unit }) =>
    unit?.doubt ? [`${unit.doubt.rule} ${unit.doubt.units.join(' ')}`] : [],
  );
  for (const parts of doubts.values())
    lines.push(...toldOrLikewise(parts, (part) => doubtLine(part, short), short));

  const notes = grouped(scan.parts, (part) =>
    part.notes.map((note) => note.code).filter((code) => !HARMLESS.has(code)),
  );
  for (const [code, parts] of notes) lines.push(...noteLines(code, parts, short));
  return lines;
}

type Finding = NonNullable<ScanPart['mesh']>['findings'][number];

const FLAWS: Readonly<Partial<Record<string, string>>> = {
  'non-manifold-edges': 'edges that three or more facets share',
  'flipped-neighbours': 'neighbouring facets that face opposite ways',
  'one-sided': 'a surface with only one side',
  'collapsed-facets': 'facets with two corners in one place',
  'flat-facets': 'facets without area',
  'duplicate-facets': 'facets that are there twice',
  'inside-out-shells': 'shells turned inside out',
  'overlapping-shells': 'bodies that overlap, their volume counts twice there',
} satisfies Partial<Record<Finding, string>>;

const UNITS: Readonly<Record<string, string>> = { in: 'inches', m: 'metres', cm: 'centimetres' };

function doubtLine(part: ScanPart, short: ShortName): string {
  const { units, sizeMm, evidence } = (part.unit as NonNullable<ScanPart['unit']>).doubt as Doubt;
  const looks = units.map((unit) => UNITS[unit] ?? unit).join(' or ');
  return `${short(part)}: may be in ${looks} (then ${mmTriple(sizeMm)} mm): ${evidence}. Taken as mm; if so, scan it with --unit ${units[0] ?? ''}.`;
}
type Doubt = NonNullable<NonNullable<ScanPart['unit']>['doubt']>;

function noteLines(code: string, parts: readonly ScanPart[], short: ShortName): string[] {
  const line = (part: ScanPart): string => {
    const note = part.notes.find((each) => each.code === code);
    const place = note?.line === undefined ? '' : `, line ${note.line}`;
    return `${short(part)}${place}: ${note?.message}`;
  };
  return toldOrLikewise(parts, line, short);
}

/** The first few of a kind in full, the names of the rest. */
function toldOrLikewise(
  parts: readonly ScanPart[],
  line: (part: ScanPart) => string,
  short: ShortName,
): string[] {
  const told = parts.slice(0, parts.length > TOLD ? TOLD - 1 : TOLD).map(line);
  const rest = parts.slice(told.length);
  return rest.length ? [...told, `${names(rest, short)}: likewise.`] : told;
}

function errorLine(part: ScanPart, short: ShortName): string {
  const error = part.error as NonNullable<ScanPart['error']>;
  const place =
    error.line !== null
      ? `, line ${error.line}`
      : error.byte !== null
        ? `, byte ${error.byte}`
        : '';
  return `${short(part)}${place}: ${error.message}${error.remedy ? ` ${error.remedy}` : ''}`;
}

function names(parts: readonly ScanPart[], short: ShortName): string {
  const shown = parts.length > NAMES ? parts.slice(0, NAMES - 1) : parts;
  const rest = parts.length - shown.length;
  return listed([...shown.map(short), ...(rest ? [`${rest} more`] : [])]);
}

/** Parts by what is said of them, in the order of first mention. */
function grouped(
  parts: readonly ScanPart[],
  said: (part: ScanPart) => readonly string[],
): Map<string, ScanPart[]> {
  const groups = new Map<string, ScanPart[]>();
  for (const part of parts)
    for (const text of new Set(said(part))) groups.set(text, [...(groups.get(text) ?? []), part]);
  return groups;
}
