import type { Estimate, Plan } from '@scantling/core';
import { counted } from '../numbers.ts';
import { grams, hours } from './cards.ts';
import { escape, html, raw, type Markup } from './html.ts';
import type { PageModel } from './model.ts';
import { plates } from './plates.ts';

const DAY_H = 24;
const ROW = 24;
const GAP = 8;
const TOP = 24;
const LEFT = 92;
const RIGHT = 84;
const WIDE = 840;

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

/** Days in one drawing: a page of paper holds it, and it is not cut through. */
const DAYS = 7;
const MOST_DAYS = 63;

/**
 * A row per day and machine, midnight to midnight, prints as bars; what ends alone is hatched. The
 * ground is shaded where nobody is there for the machine, as the plan was made. A drawing per week.
 */
function chart(plan: Plan): Markup {
  const first = wall(plan.from).day;
  const last = Math.max(first, ...plan.prints.map((p) => wall(p.end).day));
  const days = Math.min(last - first + 1, MOST_DAYS);
  const weeks = Array.from({ length: Math.ceil(days / DAYS) }, (_, k) => first + DAYS * k);
  return html`<div class="scroll" tabindex="0" role="region" aria-label="Chart of the plan">
      ${weeks.map((from) => week(plan, from, Math.min(DAYS, first + days - from)))}
    </div>
    <p class="note">
      Numbers are prints, with dots before them where a print goes on from the day before. Shaded:
      nobody is there. Hatched: the print ends
      alone.${last - first + 1 > days ? ` The first ${days} days are drawn; the table has all.` : ''}
    </p>`;
}

/** @param first day number since 1970 */
function week(plan: Plan, first: number, days: number): Markup {
  const lanes = plan.machines.length;
  const height = days * (lanes * ROW + GAP) + TOP;
  const x = (hour: number): number => LEFT + (hour * WIDE) / DAY_H;
  const y = (day: number, lane: number): number => TOP + day * (lanes * ROW + GAP) + lane * ROW;
  const base = ROW / 2 + 4;
  const out: string[] = [];
  for (let d = 0; d < days; d++) {
    out.push(`<text class="day" x="0" y="${y(d, 0) + base}">${dayName(first + d)}</text>`);
    plan.machines.forEach((machine, lane) => {
      out.push(`<rect class="night" x="${x(0)}" y="${y(d, lane)}" width="${WIDE}" height="${ROW}"/>`); // prettier-ignore
      for (const span of machine.attended)
        eachDay(spanOf(first, span.from), spanOf(first, span.to), days, (day, from, to) => {
          if (day === d) out.push(`<rect class="there" x="${x(from).toFixed(1)}" y="${y(d, lane)}" width="${(x(to) - x(from)).toFixed(1)}" height="${ROW}"/>`); // prettier-ignore
        });
      if (lanes > 1) out.push(`<text class="day" x="${x(DAY_H) + 8}" y="${y(d, lane) + base}">${escape(machine.name)}</text>`); // prettier-ignore
    });
  }
  for (let h = 0; h <= DAY_H; h += 3)
    out.push(`<path class="grid" d="M${x(h)} ${TOP - 6}V${height}"/><text class="hour" x="${x(h)}" y="13" text-anchor="middle">${h}</text>`); // prettier-ignore
  for (const print of plan.prints) {
    const lane = plan.machines.findIndex((m) => m.name === print.machine);
    const start = spanOf(first, print.start);
    eachDay(start, spanOf(first, print.end), days, (d, from, to) => {
      const w = Math.max(1.5, x(to) - x(from));
      const goesOn = start < d * DAY_H;
      const word = `${goesOn ? '\u2026' : ''}${print.print}`;
      // Where there is room for it.
      const label = w > 8 + 8 * word.length ? `<text${goesOn ? ' class="on"' : ''} x="${(x(from) + 4).toFixed(1)}" y="${y(d, lane) + base}">${word}</text>` : ''; // prettier-ignore
      out.push(`<g class="print${print.endsUnattended ? ' alone' : ''}"><title>Print ${print.print}: ${escape(print.pieces.join(', '))}, ${clock(print.start)} to ${clock(print.end)}</title><rect x="${x(from).toFixed(1)}" y="${y(d, lane) + 2}" width="${w.toFixed(1)}" height="${ROW - 4}"/>${label}</g>`); // prettier-ignore
    });
  }
  const wide = LEFT + WIDE + (lanes > 1 ? RIGHT : 12);
  return html`<svg
    class="chart"
    viewBox="0 0 ${wide} ${height}"
    width="${wide}"
    height="${height}"
    role="img"
    aria-label="Prints by day and hour from ${dayName(first)} to ${dayName(first + days - 1)}; the table below says the same"
  >
    <defs>
      <pattern
        id="alone-${first}"
        width="6"
        height="6"
        patternUnits="userSpaceOnUse"
        patternTransform="rotate(45)"
      >
        <path d="M0 0v6" class="hatch" />
      </pattern>
    </defs>
    <g style="--alone:url(#alone-${first})">${raw(out.join(''))}</g>
  </svg>`;
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
    ${plan.leftOut.map((l) => html`<p class="remark">Not in the plan: ${l.piece} (${l.because.replace(/\.$/, '')}).</p>`)}
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
    ${
      changes.length > 0 &&
      html`<h3>Spool changes</h3>
        <ul class="changes">
          ${changes.map((c) => html`<li>${clock(c.at)} ${c.machine}, ${c.kind === 'before' ? 'before' : 'in'} print ${c.print}${CHANGE_WORDS[c.kind]}</li>`)}
        </ul>`
    }
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
