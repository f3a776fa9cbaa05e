import type { Plan } from '@scantling/core';
import { counted } from '../numbers.ts';
import { scaleBar } from './drawing.ts';
import type { PageModel } from './model.ts';
import { escape, html, raw, type Markup } from './html.ts';

/** Longest side of the largest plate, px. */
const PLATE_PX = 150;

/** Every print's plate from above, the outlines of its pieces where they lie, all at one scale. */
/** @param byName outline of each machine's plate, mm */
export function plates({ prints }: Plan, byName: PageModel['plates']): Markup {
  const shown = prints.filter((p) => p.outlines.length > 0 && byName.has(p.machine));
  if (!shown.length) return raw('');
  const widest = Math.max(...[...byName.values()].flat().map((p) => 2 * Math.max(Math.abs(p[0]), Math.abs(p[1])))); // prettier-ignore
  const k = PLATE_PX / widest;
  return html`<h3>The plates</h3>
    <p class="note">
      From above, the front edge below: outlines round the pieces as they lie, ${scaleBar(k)}.
      ${shown.length < prints.length && `${counted(prints.length - shown.length, 'print')} of unknown layout not drawn.`}
    </p>
    <ul class="plates">
      ${shown.map((print) => plate(print, byName.get(print.machine) ?? [], k))}
    </ul>`;
}

function plate(
  { print, machine, outlines, pieces }: Plan['prints'][number],
  outline: readonly (readonly [number, number])[],
  k: number,
): Markup {
  const reach = (axis: 0 | 1): number => Math.max(...outline.map((p) => Math.abs(p[axis]))) * k + 2;
  const [rx, ry] = [reach(0), reach(1)];
  const points = (list: readonly (readonly [number, number])[]): string =>
    list.map(([x, y]) => `${(x * k).toFixed(1)},${(-y * k).toFixed(1)}`).join(' ');
  const several = outlines.length > 1;
  const marks = outlines.map(({ piece, cornersMm }, i) => {
    const n = cornersMm.length || 1;
    const [x, y] = cornersMm.reduce(([a, b], p) => [a + p[0] / n, b + p[1] / n], [0, 0]);
    const label = several ? `<text x="${(x * k).toFixed(1)}" y="${(-y * k + 4).toFixed(1)}" text-anchor="middle">${i + 1}</text>` : ''; // prettier-ignore
    return `<g><title>${escape(piece)}</title><polygon class="lies" points="${points(cornersMm)}"/>${label}</g>`;
  });
  const said = several ? outlines.map(({ piece }, i) => `${i + 1} ${piece}`) : pieces;
  return html`<li>
    <svg
      class="plate"
      viewBox="${-rx} ${-ry} ${2 * rx} ${2 * ry}"
      width="${(2 * rx).toFixed(0)}"
      height="${(2 * ry).toFixed(0)}"
      role="img"
      aria-label="Plate of print ${print}: ${pieces.join(', ')}"
    >
      <polygon class="edge" points="${points(outline)}" />
      ${raw(marks.join(''))}
    </svg>
    <p><b>${print}</b> ${machine}</p>
    <p class="figures">${said.join(', ')}</p>
  </li>`;
}
