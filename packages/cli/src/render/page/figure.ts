import { scaleBar, svgOf } from './drawing.ts';
import { html, raw, type Markup } from './html.ts';
import type { FigureModel } from './model.ts';

/** The figure as it will stand, its centre of mass and what it stands on. */
export function figureSection(figure: FigureModel): Markup {
  const { feet } = figure;
  return html`<section id="figure" aria-labelledby="h-figure">
    <h2 id="h-figure">The standing figure</h2>
    <div class="figures-row">
      ${figure.views.map((v) => {
        const mark = v.centre
          ? raw(`<g class="centre" transform="translate(${v.centre[0]} ${v.centre[1]})"><circle r="72"/><path d="M-72 0A72 72 0 0 1 0-72V0zM72 0A72 72 0 0 1 0 72V0z"/><path class="plumb" d="M0 72V${Math.max(72, v.height - v.centre[1] - 40)}"/></g>`) // prettier-ignore
          : raw('');
        return html`<figure>
          ${svgOf(v, `The figure from the ${v.name}`, v.name === 'top' ? raw('') : mark)}
          <figcaption>${v.name} ${scaleBar(v.pxPerMm)}</figcaption>
        </figure>`;
      })}${feet && feetView(figure)}
    </div>
    <p>
      ${(figure.heightMm / 1000).toFixed(2)} m
      tall.${figure.centreMm ? ` Centre of mass ${(figure.centreMm[2] as number).toFixed(0)} mm above the floor, taking ${figure.massFrom === 'estimate' ? 'the estimated filament of each part' : 'each part as evenly filled'}.` : ''}${typeof feet?.tipDeg === 'number' ? ` It tips at ${feet.tipDeg.toFixed(1)}\u00b0 over the weakest edge of its feet (rigid body, level floor).` : ''}
    </p>
    ${figure.missing.length > 0 && html`<p class="remark">Not in the picture: ${figure.missing.join(', ')}.</p>`}
    <p class="caution">
      Anchor a display figure to something that cannot move: children lean on it, wind pushes it,
      and people pass behind it. Local rules may ask for more.
    </p>
  </section>`;
}

function feetView({ feet, centreMm }: FigureModel): Markup {
  if (!feet) return raw('');
  const xs = feet.outlineMm.map((p) => p[0]);
  const ys = feet.outlineMm.map((p) => p[1]);
  const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const k = 180 / Math.max(x1 - x0, y1 - y0, 1);
  const at = (p: readonly number[]): string =>
    `${(((p[0] as number) - x0) * k + 12).toFixed(1)},${((y1 - (p[1] as number)) * k + 12).toFixed(1)}`;
  const [w, h] = [(x1 - x0) * k + 24, (y1 - y0) * k + 24];
  const c = centreMm ? at(centreMm).split(',') : null;
  return html`<figure>
    <svg
      class="draw feet"
      width="${w.toFixed(0)}"
      height="${h.toFixed(0)}"
      viewBox="0 0 ${w.toFixed(1)} ${h.toFixed(1)}"
      role="img"
      aria-label="Outline of the feet from above with the centre of mass"
    >
      <polygon points="${feet.outlineMm.map(at).join(' ')}" />
      ${c && raw(`<g class="centre" transform="translate(${c[0]} ${c[1]})"><circle r="8"/><path d="M-8 0A8 8 0 0 1 0-8V0zM8 0A8 8 0 0 1 0 8V0z"/></g>`)}
    </svg>
    <figcaption>feet from above ${scaleBar(k)}</figcaption>
  </figure>`;
}
