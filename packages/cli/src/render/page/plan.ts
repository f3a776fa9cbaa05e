import type { Estimate, Plan } from '@scantling/core';
import { counted } from '../numbers.ts';
import { grams, hours } from './cards.ts';
import { html, raw, type Markup } from './html.ts';

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

/** A row per day and machine, midnight to midnight, prints as bars; what runs alone is hatched. */
function chart(plan: Plan): Markup {
  const machines = plan.machines.map((m) => m.name);
  const first = wall(plan.from).day;
  const last = Math.max(first, ...plan.prints.map((p) => wall(p.end).day));
  const rows = Math.min(last - first + 1, 62);
  const lanes = machines.length;
  const height = rows * (lanes * ROW + 8) + 26;
  const x = (hour: number): number => LEFT + (hour * WIDE) / DAY_H;
  const y = (day: number, lane: number): number => 24 + (day - first) * (lanes * ROW + 8) + lane * ROW; // prettier-ignore
  const out: string[] = [];
  for (let h = 0; h <= 24; h += 3)
    out.push(`<path class="grid" d="M${x(h)} 18V${height}"/><text class="hour" x="${x(h)}" y="13" text-anchor="middle">${h}</text>`); // prettier-ignore
  for (let d = first; d < first + rows; d++) {
    out.push(`<text class="day" x="0" y="${y(d, 0) + 19}">${dayName(d)}</text>`);
    for (const [from, to] of [[0, 7], [22, 24]] as const)
      out.push(`<rect class="night" x="${x(from)}" y="${y(d, 0)}" width="${x(to) - x(from)}" height="${lanes * ROW}"/>`); // prettier-ignore
  }
  for (const print of plan.prints) {
    const [a, b] = [wall(print.start), wall(print.end)];
    const lane = machines.indexOf(print.machine);
    for (let d = a.day; d <= b.day && d < first + rows; d++) {
      const from = d === a.day ? a.hour : 0;
      const to = d === b.day ? b.hour : 24;
      const w = Math.max(1.5, x(to) - x(from));
      const label = d === a.day ? `<text x="${x(from) + 4}" y="${y(d, lane) + 18}">${print.print}</text>` : ''; // prettier-ignore
      out.push(`<g class="print${print.endsUnattended ? ' alone' : ''}"><rect x="${x(from).toFixed(1)}" y="${y(d, lane) + 3}" width="${w.toFixed(1)}" height="${ROW - 6}"/>${w > 16 ? label : ''}</g>`); // prettier-ignore
    }
  }
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
  </div>`;
}

export function planSection(plan: Plan): Markup {
  return html`<section id="plan" aria-labelledby="h-plan">
    <h2 id="h-plan">The plan, day and night</h2>
    <p>
      ${counted(plan.prints.length, 'print')} on ${counted(plan.machines.length, 'machine')} from
      ${clock(plan.from)} to ${clock(plan.finish)} (${plan.timeZone}): ${hours(plan.hours)}. No plan
      for these prints can end before ${clock(plan.bound.finish)} (proved);
      ${plan.optimal ? 'this one is the best there is' : `the gap is ${hours(plan.bound.gapH)}`}.${plan.fileOrder ? ` In file order it would end ${hours(plan.fileOrder.laterH)} later.` : ''}
    </p>
    ${chart(plan)}
    <p class="note">
      Numbers are prints. Shaded: 22 to 7 h. Hatched: nobody is there when it ends.
    </p>
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
    ${changes.length > 0 && html`<p>Spool changes: ${changes.map((c) => `print ${c.print} on ${c.machine} at ${clock(c.at)}${c.attended ? '' : ' (nobody there: change before)'}`).join('; ')}.</p>`}
    <p class="note">Estimates from the geometry; the log of your own prints makes them better.</p>
  </section>`;
}

/** A ring per spool, eight to a row. */
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
