import { counted } from '../numbers.ts';
import { html, raw, type Markup } from './html.ts';
import type { PageModel } from './model.ts';
import { sign, VERDICTS } from './signs.ts';

const LINES: readonly (readonly [string, string, string])[] = [
  ['visible', '2.2', 'visible edge (continuous, wide)'],
  ['hidden', '1.1', 'hidden edge (dashed, narrow)'],
  ['cutting', '2.2', 'cut (long-dashed dotted, wide)'],
  ['centre', '1.1', 'axis of a dowel (long-dashed dotted, narrow)'],
  ['neighbour', '1.1', 'build envelope (long-dashed double-dotted, narrow)'],
];
const DASHES: Readonly<Record<string, string>> = {
  hidden: '6 3',
  cutting: '14 3 1 3',
  centre: '14 3 1 3',
  neighbour: '14 3 1 3 1 3',
};

/** How to read the signs and lines, and what may be relied on. */
export function legendSection({ parts, drawnFrom, leftOut }: PageModel): Markup {
  const coarse = parts.filter((p) => p.pictures?.drawnFrom).length;
  const still = parts.filter((p) => p.pictures && !p.pictures.solid).length;
  return html`<section id="reading" aria-labelledby="h-reading">
    <h2 id="h-reading">How to read this page</h2>
    <ul class="legend">
      ${VERDICTS.map((v) => html`<li>${sign(v.id)}<b>${v.word}</b>: ${v.means}</li>`)}
    </ul>
    <ul class="legend">
      ${LINES.map(([kind, width, words]) => html`<li>${raw(`<svg class="line l-${kind}" viewBox="0 0 64 10" aria-hidden="true"><path d="M1 5h62" fill="none" stroke="currentColor" class="l-${kind}" stroke-width="${width}"${DASHES[kind] ? ` stroke-dasharray="${DASHES[kind]}"` : ''}/></svg>`)}${words}</li>`)}
    </ul>
    <p>
      Line types follow ISO 128; isometric views follow ISO 5456-3, all edges along the axes
      shortened alike. <b>Proved</b>: verdicts, the least number of pieces, walls round dowels where
      the mesh is closed. <b>Estimated</b>: supports, filament, hours, strengths, tip angles.
    </p>
    <p>
      <b class="amber">Amber</b> shows the space that supports fill when the part is printed the way
      it stands there: under all that leans out further than the machine carries, down to the part
      below or the plate, less what bridges between two held ends. Columns come from the same grid
      that the volumes are counted on.
    </p>
    ${coarse > 0 && html`<p>${counted(coarse, 'part')} of more than ${drawnFrom} triangles ${coarse === 1 ? 'is' : 'are'} drawn from a coarser body; verdicts and figures are of the part itself.</p>`}
    ${still > 0 && leftOut.length === 0 && html`<p>${counted(still, 'part')} cannot be turned around here: for so many there is no room in one page.</p>`}
    ${leftOut.map((words) => html`<p>${words}</p>`)}
  </section>`;
}
