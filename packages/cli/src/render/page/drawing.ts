import { html, raw, type Markup } from './html.ts';

interface Drawn {
  readonly width: number;
  readonly height: number;
  readonly body: string;
  readonly pxPerMm?: number;
}

/** A picture as svg; `over` is markup in the picture's own units, drawn on top. */
export function svgOf(p: Drawn, label: string, over: Markup = raw(''), barMm = 0): Markup {
  const height = p.height + (barMm > 0 ? BAR_HEIGHT : 0);
  return html`<svg
    class="draw"
    viewBox="0 0 ${p.width} ${height}"
    width="${Math.round(p.width / 8)}"
    height="${Math.round(height / 8)}"
    role="img"
    aria-label="${label}"
  >
    <g fill="none" stroke="currentColor" stroke-linecap="round" stroke-linejoin="round">
      ${raw(p.body)}
    </g>
    ${over}${barMm > 0 && barBelow(p, barMm)}
  </svg>`;
}

/** Room for a bar under a drawing, in its units of an eighth of a pixel. */
const BAR_HEIGHT = 112;

/** Part of the drawing itself, so that it keeps its scale when a narrow window makes both smaller. */
function barBelow({ height, pxPerMm = 1 }: Drawn, mm: number): Markup {
  const w = Math.round(mm * pxPerMm * 8);
  return raw(`<path class="scale" d="M40 ${height + 24}v64M${40 + w} ${height + 24}v64M40 ${height + 56}h${w}"/>`); // prettier-ignore
}

/** A round length that suits a bar under a drawing of this width, mm. */
export const barFor = ({ width, pxPerMm = 1 }: Drawn, most = 120): number =>
  [...BARS].reverse().find((mm) => mm * pxPerMm <= Math.min(most, width / 8 - 10)) ?? 0;

/** Round lengths for a scale bar, mm. */
const BARS = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];

/** A bar of a round length beside drawings that no window makes smaller, its length written on. */
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
