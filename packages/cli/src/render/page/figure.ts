import { barFor, scaleBar, svgOf } from './drawing.ts';
import { html, raw, type Markup } from './html.ts';
import type { FigureModel } from './model.ts';

/** The figure as it will stand, its centre of mass and what it stands on. */
export function figureSection(figure: FigureModel): Markup {
  const { balance, views } = figure;
  // All views shrink alike in a narrow window, two to a row.
  const widest = Math.round(Math.max(...views.map((v) => v.width)) / 8);
  const bar = Math.min(...views.map((v) => barFor(v)));
  return html`<section id="figure" aria-labelledby="h-figure">
    <h2 id="h-figure">The standing figure</h2>
    <div class="figures-row">
      ${views.map((v) => {
        const mark = v.centre
          ? raw(`<g class="centre" transform="translate(${v.centre[0]} ${v.centre[1]})"><circle r="72"/><path d="M-72 0A72 72 0 0 1 0-72V0zM72 0A72 72 0 0 1 0 72V0z"/><path class="plumb" d="M0 72V${Math.max(72, v.height - v.centre[1] - 40)}"/></g>`) // prettier-ignore
          : raw('');
        return html`<figure
          style="width:calc(${Math.round(v.width / 8)} * min(1px, 40vw / ${widest}))"
        >
          ${svgOf(v, `The figure, ${v.name} view${v.centre ? ', with its centre of mass' : ''}`, mark, bar)}
          <figcaption>${v.name === 'iso' ? 'isometric' : v.name}</figcaption>
        </figure>`;
      })}${balance && feetView(balance)}
    </div>
    <p class="note">The bar under each view is ${bar} mm.</p>
    <p>${words(figure)}</p>
    ${figure.missing.length > 0 && html`<p class="remark">Not in the picture: ${figure.missing.join(', ')}.</p>`}
    ${figure.unknown.length > 0 && html`<p class="remark">Not in the balance, their mass being unknown: ${figure.unknown.join(', ')}.</p>`}
    ${(balance?.cautions ?? [STAND_FAST]).map((c) => html`<p class="caution">${c}</p>`)}
  </section>`;
}

const STAND_FAST =
  'Fix a display figure to the building or a wide base: children lean on it, wind pushes it.';

function words({ heightMm, balance }: FigureModel): string {
  const tall = `${(heightMm / 1000).toFixed(2)} m tall`;
  if (!balance) return `${tall}.`;
  const { massG, centreMm, tip, onItsFeet } = balance;
  const stands = onItsFeet
    ? `It tips when leaned ${tip.angleDeg.toFixed(1)}\u00b0 over the weakest edge of what it stands on, or pushed sideways with ${tip.pushN.toFixed(0)} N at ${(tip.pushHeightMm / 1000).toFixed(2)} m (rigid body, level floor).`
    : 'Its centre of mass lies beside what it stands on: it falls by itself.';
  return `${tall}, ${(massG / 1000).toFixed(1)} kg. Centre of mass ${centreMm[2].toFixed(0)} mm above the floor. ${stands}`;
}

function feetView({ footprintMm, centreMm }: NonNullable<FigureModel['balance']>): Markup {
  const xs = footprintMm.map((p) => p[0]);
  const ys = footprintMm.map((p) => p[1]);
  const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const k = 180 / Math.max(x1 - x0, y1 - y0, 1);
  const at = (p: readonly number[]): string =>
    `${(((p[0] as number) - x0) * k + 12).toFixed(1)},${((y1 - (p[1] as number)) * k + 12).toFixed(1)}`;
  const [w, h] = [(x1 - x0) * k + 24, (y1 - y0) * k + 24];
  const c = at(centreMm).split(',');
  return html`<figure>
    <svg
      class="draw feet"
      width="${w.toFixed(0)}"
      height="${h.toFixed(0)}"
      viewBox="0 0 ${w.toFixed(1)} ${h.toFixed(1)}"
      role="img"
      aria-label="Outline of what it stands on from above with the centre of mass"
    >
      <polygon points="${footprintMm.map(at).join(' ')}" />
      ${raw(`<g class="centre" transform="translate(${c[0]} ${c[1]})"><circle r="8"/><path d="M-8 0A8 8 0 0 1 0-8V0zM8 0A8 8 0 0 1 0 8V0z"/></g>`)}
    </svg>
    <figcaption>what it stands on, from above ${scaleBar(k)}</figcaption>
  </figure>`;
}
