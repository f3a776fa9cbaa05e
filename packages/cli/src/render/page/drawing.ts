import { html, raw, type Markup } from './html.ts';

interface Drawn {
  readonly width: number;
  readonly height: number;
  readonly body: string;
}

/** A picture as svg; `over` is markup in the picture's own units, drawn on top. */
export function svgOf(p: Drawn, label: string, over: Markup = raw(''), klass = ''): Markup {
  return html`<svg
    class="draw ${klass}"
    viewBox="0 0 ${p.width} ${p.height}"
    width="${Math.round(p.width / 8)}"
    height="${Math.round(p.height / 8)}"
    role="img"
    aria-label="${label}"
  >
    <g fill="none" stroke="currentColor" stroke-linecap="round" stroke-linejoin="round">
      ${raw(p.body)}
    </g>
    ${over}
  </svg>`;
}

/** Round lengths for a scale bar, mm. */
const BARS = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];

/** A bar of a round length beside a drawing, with its length written on. */
export function scaleBar(pxPerMm: number, most = 120): Markup {
  const mm = [...BARS].reverse().find((x) => x * pxPerMm <= most) ?? 1;
  const w = mm * pxPerMm;
  const width = Math.ceil(w + 2);
  return html`<span class="bar"
    ><svg width="${width}" height="8" viewBox="0 0 ${width} 8" aria-hidden="true">
      <path d="M1 1v6M${1 + w} 1v6M1 4h${w}" fill="none" stroke="currentColor" /></svg
    >${mm} mm</span
  >`;
}
