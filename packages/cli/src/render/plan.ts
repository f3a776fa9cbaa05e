import type { HoursModel, Plan, PlannedPrint } from '@scantling/core';
import { csv } from './csv.ts';
import { counted, hoursModelText, listed } from './numbers.ts';
import type { Style } from './style.ts';
import { table, wrap } from './table.ts';

/** The plan by day, then what it amounts to, spools, what is left out, and the caution. */
export function planText(plan: Plan, width: number, style: Style): string {
  const days = new Map<string, PlannedPrint[]>();
  for (const p of plan.prints) days.set(p.start.slice(0, 10), [...(days.get(p.start.slice(0, 10)) ?? []), p]); // prettier-ignore
  const columns = [
    { head: 'start' },
    { head: 'end' },
    { head: 'h', align: 'right' as const },
    { head: 'machine', least: 5 },
    { head: 'piece', least: 14 },
    { head: 'g', align: 'right' as const },
    { head: 'low-high h', align: 'right' as const, optional: true },
  ];
  const blocks = [...days].map(([day, prints]) => {
    const rows = prints.map((p) => [
      p.running ? 'runs now' : p.start.slice(11, 16),
      endText(p),
      p.hours.toFixed(1),
      p.machine,
      p.pieces.join(' + '),
      p.massG.toFixed(0),
      `${p.hoursLow.toFixed(1)}-${p.hoursHigh.toFixed(1)}`,
    ]);
    return `${style.head(dayText(day))}\n${table(columns, rows, width, style)}`;
  });
  const notes = notesOf(plan).map((line) => `${wrap(line, width, '  ')}\n`).join(''); // prettier-ignore
  const cautions = plan.cautions.map((c) => `${style.warn(wrap(`Caution: ${c}`, width, '  '))}\n`).join(''); // prettier-ignore
  return [...blocks, spoolText(plan, width, style), notes, cautions].filter(Boolean).join('\n');
}

/** End of a print: its day too when it is another; a star when nobody is there. */
function endText(p: PlannedPrint): string {
  const days = Math.round((Date.parse(p.end.slice(0, 10)) - Date.parse(p.start.slice(0, 10))) / 864e5); // prettier-ignore
  return `${p.end.slice(11, 16)}${days > 0 ? ` +${days}d` : ''}${p.endsUnattended ? ' *' : ''}`;
}

const dayText = (day: string): string =>
  new Date(`${day}T12:00:00Z`).toLocaleDateString('en-GB', { weekday: 'long', day: 'numeric', month: 'long', year: 'numeric', timeZone: 'UTC' }); // prettier-ignore

const REASONS: Readonly<Record<Plan['bound']['because'], string>> = {
  'longest-print': 'the longest print alone needs as long',
  'two-on-one-machine': 'two of the longest prints must share a machine',
  'work-and-nights': 'the work needs so many hours and nights',
  'all-plans': 'every plan for these plates was looked at',
};

function notesOf(plan: Plan): string[] {
  const when = (iso: string): string => `${dayText(iso.slice(0, 10))}, ${iso.slice(11, 16)}`;
  const { bound } = plan;
  const h = (x: number): string => `${x.toFixed(1)} h`;
  const some = bound.machines.length < plan.machines.length;
  const reason = `${some ? `of what goes only on ${listed(bound.machines)}, ` : ''}${REASONS[bound.because]}`;
  if (plan.prints.length === 0) return [leftOutText(plan) || 'Nothing to print.', ...plan.remarks];
  return [
    plan.prints.some((p) => p.endsUnattended) ? '* ends with nobody there; the plate waits.' : '',
    `Finished ${when(plan.finish)}: ${h(plan.hours)} from the beginning.`,
    bound.gapH < 1 / 60
      ? `No plan ends earlier: ${reason}.`
      : `No plan can end more than ${h(bound.gapH)} (${(100 * bound.gapShare).toFixed(1)} %) earlier: ${reason}.`,
    plan.fileOrder && plan.fileOrder.laterH > 0.05 ? `Printed one by one in file order it would end ${h(plan.fileOrder.laterH)} later.` : '', // prettier-ignore
    plan.due ? (plan.due.lateH > 0 ? `Too late by ${h(plan.due.lateH)} for ${when(plan.due.at)}.` : `${h(-plan.due.lateH)} to spare before ${when(plan.due.at)}.`) : '', // prettier-ignore
    ...plan.machines.filter((m) => m.prints > 0).map((m) => `${m.name}: ${counted(m.prints, 'print')}, busy ${(100 * m.busyShare).toFixed(0)} % of the time, ${h(m.idleH)} waiting.`), // prettier-ignore
    plan.groups.length > 1 ? `Complete: ${plan.groups.map((g) => `${g.group ?? 'no group'} ${g.complete.slice(0, 16).replace('T', ' ')}`).join('; ')}.` : '', // prettier-ignore
    ...plan.spools.map((s) => `${s.machine}: ${s.massG.toFixed(0)} g of ${s.material}, ${counted(s.spools, 'spool')}, ${counted(s.changes.length, 'change')}; a full one is on at the beginning.`), // prettier-ignore
    ...modelTexts(plan),
    plan.done.length > 0 ? `Done already: ${listed(plan.done)}.` : '',
    leftOutText(plan),
    ...plan.remarks,
  ].filter(Boolean);
}

/** How the hours were computed, once for machines of which the same is to be said. */
function modelTexts(plan: Plan): string[] {
  const machines = plan.machines.filter((m) => m.prints > 0);
  const same = new Map<string, { names: string[]; model: HoursModel }>();
  for (const { name, hoursModel: model } of machines) {
    if (!model) continue;
    const key = JSON.stringify(model);
    same.set(key, { names: [...(same.get(key)?.names ?? []), name], model });
  }
  return [...same.values()].map(({ names, model }) => hoursModelText(listed(names), model));
}

const WHEN = {
  before: 'before it starts',
  'when-empty': 'when empty',
  early: 'on leaving, not yet empty',
  dry: 'empty, nobody there: waits',
} as const;

/** When another spool must be put on, as a table; empty when none must. */
function spoolText(plan: Plan, width: number, style: Style): string {
  const rows = plan.spools
    .flatMap(({ machine, changes }) => changes.map((c) => ({ machine, ...c })))
    .sort((a, b) => Date.parse(a.at) - Date.parse(b.at))
    .map((c) => [c.at.slice(5, 16).replace('T', ' '), c.machine, String(c.print), c.loadG.toFixed(0), c.leftG.toFixed(0), WHEN[c.kind]]); // prettier-ignore
  const right = 'right' as const;
  const columns = [{ head: 'at' }, { head: 'machine', least: 5 }, { head: 'print', align: right }, { head: 'on g', align: right }, { head: 'off g', align: right }, { head: 'when' }]; // prettier-ignore
  return rows.length > 0 ? `${style.head('Spool changes')}\n${table(columns, rows, width, style)}` : ''; // prettier-ignore
}

function leftOutText(plan: Plan): string {
  const by = new Map<string, string[]>();
  for (const { piece, because } of plan.leftOut) by.set(because, [...(by.get(because) ?? []), piece]); // prettier-ignore
  return [...by].map(([because, pieces]) => `Left out, ${because}: ${listed(pieces)}.`).join(' ');
}

export const planCsv = (plan: Plan): string =>
  csv(
    ['print', 'machine', 'pieces', 'group', 'material', 'mass_g', 'start', 'end', 'hours_h', 'hours_low_h', 'hours_high_h', 'running', 'ends_unattended', 'clear'], // prettier-ignore
    plan.prints.map((p) => [p.print, p.machine, p.pieces.join(' '), p.group, p.material, p.massG, p.start, p.end, p.hours, p.hoursLow, p.hoursHigh, p.running, p.endsUnattended, p.clear]), // prettier-ignore
  );
