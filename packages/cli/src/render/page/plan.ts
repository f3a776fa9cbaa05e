import type { Estimate, Plan } from '@scantling/core';
import { counted } from '../numbers.ts';
import { grams, hours } from './cards.ts';
import { escape, html, raw, type Markup } from './html.ts';
import type { PageModel } from './model.ts';
import { plates } from './plates.ts';

const DAY_H = 24;
const ROW = 30;
const LEFT = 92;
const WIDE = 720;

/** Wall clock of an ISO time with offset: day number since 1970 and hours of that day. */
function wall(iso: string): { day: number; hour: number } {
  const m = /^(\d+)-(\d+)-(\d+)T(\d+):(\d+)/.exec(iso);
  if (!m) return { day: 0, hour: 0 };
  const [y, mo, d, h, min] = m.slice(1).map(Number) as [number, number, number, number, number];
  return { day: Math.round(Date.UTC(y, mo - 1, d) / 86_400_000), hour: h + min / 60 };
}

const dayName = (day: number): string =>
  new Date(day * 86_400_000).toLocaleDateString('en-GB', { weekday: 'short', day: 'numeric', month: 'short', timeZone: 'UTC' }); // prettier-ignore
const clock = (iso: string): string => `${dayName(wall(iso).day)} ${iso.slice(11, 16)}`;

/** Instants on the wall, in hours from the first day's midnight. */
const spanOf = (first: number, iso: string): number => {
  const { day, hour } = wall(iso);
  return (day - first) * DAY_H + hour;
};

/** Calls `put` for each day that a span touches, with the hours of that day. */
function eachDay(
  from: number,
  to: number,
  rows: number,
  put: (day: number, from: number, to: number) => void,
): void {
  // prettier-ignore
  for (let d = Math.max(0, Math.floor(from / DAY_H)); d < Math.min(rows, to / DAY_H); d++)
    put(d, Math.max(0, from - d * DAY_H), Math.min(DAY_H, to - d * DAY_H));
}

/**
 * A row per day and machine, midnight to midnight, prints as bars; what ends alone is hatched. The
 * ground is shaded where nobody is there for the machine, as the plan was made.
 */
function chart(plan: Plan): Markup {
  const first = wall(plan.from).day;
  const last = Math.max(first, ...plan.prints.map((p) => wall(p.end).day));
  const rows = Math.min(last - first + 1, 62);
  const lanes = plan.machines.length;
  const height = rows * (lanes * ROW + 8) + 26;
  const x = (hour: number): number => LEFT + (hour * WIDE) / DAY_H;
  const y = (day: number, lane: number): number => 24 + day * (lanes * ROW + 8) + lane * ROW;
  const out: string[] = [];
  for (let d = 0; d < rows; d++) {
    out.push(`<text class="day" x="0" y="${y(d, 0) + 19}">${dayName(first + d)}</text>`);
    plan.machines.forEach((machine, lane) => {
      out.push(`<rect class="night" x="${x(0)}" y="${y(d, lane)}" width="${WIDE}" height="${ROW}"/>`); // prettier-ignore
      for (const span of machine.attended)
        eachDay(spanOf(first, span.from), spanOf(first, span.to), rows, (day, from, to) => {
          if (day === d) out.push(`<rect class="there" x="${x(from).toFixed(1)}" y="${y(d, lane)}" width="${(x(to) - x(from)).toFixed(1)}" height="${ROW}"/>`); // prettier-ignore
        });
    });
  }
  for (let h = 0; h <= 24; h += 3)
    out.push(`<path class="grid" d="M${x(h)} 18V${height}"/><text class="hour" x="${x(h)}" y="13" text-anchor="middle">${h}</text>`); // prettier-ignore
  for (const print of plan.prints) {
    const lane = plan.machines.findIndex((m) => m.name === print.machine);
    let labelled = false;
    eachDay(spanOf(first, print.start), spanOf(first, print.end), rows, (d, from, to) => {
      const w = Math.max(1.5, x(to) - x(from));
      // The number goes where there is room for it first.
      const label = !labelled && w > 22 ? `<text x="${(x(from) + 4).toFixed(1)}" y="${y(d, lane) + 19}">${print.print}</text>` : ''; // prettier-ignore
      labelled ||= label !== '';
      out.push(`<g class="print${print.endsUnattended ? ' alone' : ''}"><title>Print ${print.print}: ${escape(print.pieces.join(', '))}, ${clock(print.start)} to ${clock(print.end)}</title><rect x="${x(from).toFixed(1)}" y="${y(d, lane) + 3}" width="${w.toFixed(1)}" height="${ROW - 6}"/>${label}</g>`); // prettier-ignore
    });
  }
  const names = lanes > 1 ? ` Of each day the rows are ${plan.machines.map((m) => m.name).join(', ')}, from above.` : ''; // prettier-ignore
  return html`<div class="scroll" tabindex="0" role="region" aria-label="Chart of the plan">
      <svg
        class="chart"
        viewBox="0 0 ${LEFT + WIDE + 12} ${height}"
        width="${LEFT + WIDE + 12}"
        height="${height}"
        role="img"
        aria-label="Prints by day and hour; the table below says the same"
      >
        <defs>
          <pattern
            id="alone"
            width="6"
            height="6"
            patternUnits="userSpaceOnUse"
            patternTransform="rotate(45)"
          >
            <path d="M0 0v6" class="hatch" />
          </pattern>
        </defs>
        ${raw(out.join(''))}
      </svg>
    </div>
    <p class="note">
      Numbers are prints. Shaded: nobody is there. Hatched: the print ends
      alone.${names}${last - first + 1 > rows ? ` The first ${rows} days are drawn; the table has all.` : ''}
    </p>`;
}

export function planSection(plan: Plan, outlines: PageModel['plates']): Markup {
  return html`<section id="plan" aria-labelledby="h-plan">
    <h2 id="h-plan">The plan, day and night</h2>
    <p>
      ${counted(plan.prints.length, 'print')} on ${counted(plan.machines.length, 'machine')} from
      ${clock(plan.from)} to ${clock(plan.finish)} (${plan.timeZone}): ${hours(plan.hours)}. No plan
      for these prints can end before ${clock(plan.bound.finish)} (proved);
      ${plan.optimal ? 'this one is the best there is' : `the gap is ${hours(plan.bound.gapH)}`}.${plan.fileOrder && plan.fileOrder.laterH > 0.05 ? ` In file order it would end ${hours(plan.fileOrder.laterH)} later.` : ''}
    </p>
    ${chart(plan)}${plates(plan, outlines)}
    <div class="scroll" tabindex="0" role="region" aria-label="Table of the plan">
      <table>
        <thead>
          <tr>
            <th>Print</th>
            <th>Machine</th>
            <th>Pieces</th>
            <th>Start</th>
            <th>End</th>
            <th>Hours</th>
            <th>Alone</th>
            <th>Filament</th>
          </tr>
        </thead>
        <tbody>
          ${plan.prints.map(
            (p) =>
              html`<tr>
                <td>${p.print}</td>
                <td class="text">${p.machine}</td>
                <td class="text">${p.pieces.join(', ')}</td>
                <td>${clock(p.start)}</td>
                <td>${clock(p.end)}</td>
                <td>${hours(p.hours)}</td>
                <td>
                  ${p.endsUnattended ? 'ends alone' : p.runsUnattendedH > 0 ? hours(p.runsUnattendedH) : 'no'}
                </td>
                <td>${grams(p.massG)}</td>
              </tr>`,
          )}
        </tbody>
      </table>
    </div>
    <ul class="machines">
      ${plan.machines.map((m) => html`<li>${m.name}: ${counted(m.prints, 'print')}, busy ${Math.round(100 * m.busyShare)} % of the time, ${hours(m.idleH)} waiting</li>`)}
    </ul>
    ${plan.leftOut.map((l) => html`<p class="remark">${l.piece}: left out, ${l.because}</p>`)}
    ${plan.cautions.map((c) => html`<p class="caution">${c}</p>`)}
  </section>`;
}

/** Filament and spools, from the plan where there is one, else from the estimate. */
export function filamentSection(plan: Plan | null, estimate: Estimate | null): Markup {
  const rows: { material: string; where: string; massG: number; spools: number }[] = plan
    ? plan.spools.map((s) => ({ material: s.material, where: s.machine, massG: s.massG, spools: s.spools })) // prettier-ignore
    : (estimate?.total.spools ?? []).map((s) => ({ material: s.material, where: estimate?.machine ?? '', massG: s.massG, spools: s.spools })); // prettier-ignore
  if (!rows.length) return raw('');
  const changes = plan?.spools.flatMap((s) => s.changes.map((c) => ({ ...c, material: s.material, machine: s.machine }))) ?? []; // prettier-ignore
  return html`<section id="filament" aria-labelledby="h-filament">
    <h2 id="h-filament">Filament and spools</h2>
    <div class="scroll" tabindex="0" role="region" aria-label="Filament and spools">
      <table>
        <thead>
          <tr>
            <th>Material</th>
            <th>Machine</th>
            <th>Filament</th>
            <th colspan="2">Spools</th>
          </tr>
        </thead>
        <tbody>
          ${rows.map(
            (r) =>
              html`<tr>
                <td class="text">${r.material}</td>
                <td class="text">${r.where}</td>
                <td>${grams(r.massG)}</td>
                <td>${r.spools}</td>
                <td>${spools(r.spools)}</td>
              </tr>`,
          )}
        </tbody>
      </table>
    </div>
    ${changes.length > 0 && html`<p>Spool changes: ${changes.map((c) => `${c.kind === 'before' ? 'before' : 'in'} print ${c.print} on ${c.machine} at ${clock(c.at)}${CHANGE_WORDS[c.kind]}`).join('; ')}.</p>`}
    <p class="note">Estimates from the geometry; the log of your own prints makes them better.</p>
  </section>`;
}

/** A ring per spool, eight to a row. */
const CHANGE_WORDS = {
  before: '',
  'when-empty': '',
  early: ' (before it is empty: nobody is there then)',
  dry: ' (nobody there: the print stands still until somebody comes)',
} as const;

const spools = (count: number): Markup => {
  const n = Math.min(count, 40);
  const [w, h] = [Math.min(n, 8) * 20, Math.ceil(n / 8) * 19];
  const rings = Array.from({ length: n }, (_, i) => {
    const at = `cx="${20 * (i % 8) + 9}" cy="${19 * Math.floor(i / 8) + 9}"`;
    return `<circle ${at} r="7.500"/><circle ${at} r="2.500"/>`;
  });
  return html`<svg
    class="spools"
    width="${w}"
    height="${h}"
    viewBox="0 0 ${w} ${h}"
    aria-hidden="true"
  >
    ${raw(rings.join(''))}
  </svg>`;
};
