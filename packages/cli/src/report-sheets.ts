import type { ChecklistSection, Paper, SplitPart } from '@scantling/core';
import { outputStems } from './session.ts';
import type { PagePart } from './render/page/model.ts';

export interface SheetFile {
  readonly name: string;
  readonly data: string | Uint8Array;
}

/** One document: its PDF, and the same pages as SVG. `of` is `kit` or the id of a part. */
export interface BenchSheet {
  readonly of: string;
  readonly label: string;
  readonly file: readonly SheetFile[];
}

/** Piece list of the kit; cut sheet and drilling templates of every part that is split. */
export async function benchSheets(
  title: string,
  parts: readonly PagePart[],
  size: 'a4' | 'letter',
): Promise<BenchSheet[]> {
  // prettier-ignore
  const core = await import('@scantling/core');
  const paper: Paper = size === 'letter' ? core.LETTER_MM : core.A4_MM;
  const out: BenchSheet[] = [];
  const add = async (
    of: string,
    label: string,
    name: string,
    head: string,
    sections: readonly ChecklistSection[],
  ): Promise<void> => {
    // prettier-ignore
    const pages = core.checklistSheets(head, sections, paper);
    const pdf = { name: `${name}.pdf`, data: await core.sheetsPdf(pages, head) };
    const svgs = pages.map((page, i) => ({ name: `${name}-${i + 1}.svg`, data: core.sheetSvg(page) })); // prettier-ignore
    out.push({ of, label, file: [pdf, ...svgs] });
  };
  await add('kit', 'piece list (PDF)', 'piece-list', `${title} - pieces`, pieceList(parts));
  const files = parts.map((part) => part.scan.file);
  const stems = outputStems([...new Set(files)]);
  for (const [i, part] of parts.entries()) {
    const { split } = part;
    if (!split?.sheet) continue;
    // A file may hold several parts.
    const mates = files.filter((file) => file === part.scan.file).length;
    const number = files.slice(0, i + 1).filter((file) => file === part.scan.file).length;
    const name = `${stems.get(part.scan.file) ?? ''}${mates > 1 ? `-${number}` : ''}`;
    await add(part.id, 'cut sheet (PDF)', `${name}.cut-sheet`, `${name} - cuts`, cutList(split));
    if (!split.joints.length) continue;
    const { pdf, svgs } = await core.drillTemplates(split.joints, name, paper);
    const drawn = svgs.map((t) => ({ name: `${name}.template-${t.joint}-${t.piece}.svg`, data: t.svg })); // prettier-ignore
    out.push({ of: part.id, label: 'drilling templates (PDF)', file: [{ name: `${name}.templates.pdf`, data: pdf }, ...drawn] }); // prettier-ignore
  }
  return out;
}

const WAY: Readonly<Record<string, string>> = {
  fits: 'as modelled',
  'fits-turned': 'turn',
  'fits-tilted': 'tilt',
  'too-big': 'split',
  undecided: 'undecided',
  unreadable: 'file broken',
};

/** Every piece to be made, by group, a box for each. */
function pieceList(parts: readonly PagePart[]): ChecklistSection[] {
  const groups = [...new Set(parts.map((p) => p.group))];
  return groups.map((group) => ({
    head: group ?? (groups.length > 1 ? 'no group' : 'name / way up / size mm / filament'),
    lines: parts.filter((p) => p.group === group).flatMap(linesOf),
  }));
}

function linesOf(part: PagePart): { tick: boolean; text: string }[] {
  const plan = part.split?.plans[0];
  const name = part.name.replace(/\.(stl|3mf|obj)\b/i, '');
  const size = (mm: readonly number[]): string => mm.map((x) => Math.round(x)).join(' x ');
  const row = (label: string, way: string, mm: readonly number[] | null, grams: string): string =>
    `${label.slice(0, 34).padEnd(36)}${way.padEnd(13)}${(mm ? `${size(mm)} mm` : '').padEnd(22)}${grams}`;
  const out: { tick: boolean; text: string }[] = [];
  for (let copy = 1; copy <= Math.max(1, part.quantity); copy++) {
    const label = part.quantity > 1 ? `${name} ${copy}/${part.quantity}` : name;
    if (plan)
      for (const piece of plan.pieces)
        out.push({ tick: true, text: row(`${label} piece ${piece.id}`, 'piece', piece.sizeMm, '') }); // prettier-ignore
    else {
      const grams = part.massG === null ? '' : `${Math.round(part.massG)} g`;
      out.push({ tick: part.scan.size !== null, text: row(label, WAY[part.scan.verdict] ?? '', part.scan.size, grams) }); // prettier-ignore
    }
  }
  return out;
}

const figure = (x: number): string => (Math.round(x * 10) / 10).toString();

/** Cuts, gluing and shopping of one part, each step with its box. */
function cutList({ sheet }: SplitPart): ChecklistSection[] {
  if (!sheet) return [];
  const [x, y, z] = ['X', 'Y', 'Z'];
  return [
    {
      head: 'cuts - turn about the fixed axes in this order, set down, cut at the height',
      lines: sheet.cutting.map((c) => ({
        tick: true,
        text: `${c.order}  ${x} ${figure(c.turnsDeg[0])}  ${y} ${figure(c.turnsDeg[1])}  ${z} ${figure(c.turnsDeg[2])} deg - height ${figure(c.heightMm)} mm - below ${c.below.join(' ')} - above ${c.above.join(' ')}`,
      })),
    },
    {
      head: 'gluing',
      lines: sheet.gluing.map((g) => ({
        tick: true,
        text: `${g.order}  faces ${g.joints.join(' ')}${g.dowels.map((d) => ` - ${d.count} x ${d.stock} ${figure(d.lengthMm)} mm`).join('')}`,
      })),
    },
    {
      head: 'dowels',
      lines: sheet.shopping.map((s) => ({ tick: true, text: `${s.count} x ${s.stock}` })),
    },
    { head: 'cautions', lines: sheet.cautions.map((text) => ({ tick: false, text })) },
  ];
}
