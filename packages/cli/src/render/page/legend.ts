import { html, raw, type Markup } from './html.ts';
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
export function legendSection(): Markup {
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
  </section>`;
}
