import { mm, mmTriple } from '../numbers.ts';
import { grams, hours } from './cards.ts';
import { barFor, scaleBar, svgOf } from './drawing.ts';
import { html, raw, type Markup } from './html.ts';
import type { PageModel, PagePart } from './model.ts';
import { FLAWS, meshWords, proofWords } from './proof.ts';
import { sign, wordOf } from './signs.ts';
import { cutsTable, dowelsTable, waysTable } from './part-tables.ts';

/** Everything about one part: what to do, how it looks, what is wrong with it. */
export function partSection(part: PagePart, model: PageModel): Markup {
  const { scan, pictures, split } = part;
  const sheets = model.sheets.get(part.id) ?? [];
  const mesh = scan.mesh && meshWords(scan.mesh);
  return html`<section
    class="part"
    id="${part.id}"
    data-v="${scan.verdict}"
    aria-labelledby="${part.id}-h"
  >
    <header>
      <h3 id="${part.id}-h">${sign(scan.verdict)}${part.name}</h3>
      <p class="verdict v-${scan.verdict}">${wordOf(scan.verdict)}</p>
    </header>
    <div class="body">
      <div class="words">
        <p>${proofWords(scan).join(' ')}</p>
        <dl class="facts">${facts(part)}</dl>
        ${
          mesh &&
          html`<p>${mesh.verdict}</p>
            ${
              mesh.flaws.length > 0 &&
              html`<ul class="flaws">
                ${mesh.flaws.map((f) => html`<li>${f}</li>`)}
              </ul>`
            }`
        }
        ${sheets.length > 0 && html`<p class="sheets">${sheets.map(sheetLink)}</p>`}
      </div>
      ${
        pictures &&
        html`<div class="views">
          <div class="pair">${mainView(part)}${asPrinted(part)}${exploded(part)}</div>
          ${turnable(part)}${smallViews(part)}
        </div>`
      }
    </div>
    ${split && scan.verdict !== 'unreadable' && cutsTable(split)}${split && dowelsTable(split)}
    ${part.orient && waysTable(part.orient)}
    <p class="back"><a href="#parts">Back to all parts</a></p>
  </section>`;
}

export const sheetLink = (s: {
  name: string;
  label: string;
  mime: string;
  base64: string;
}): Markup =>
  html`<a class="sheet" download="${s.name}" href="data:${s.mime};base64,${raw(s.base64)}"
    >${s.label}</a
  > `;

function facts({ scan, massG, hours: h, group, role, quantity, because }: PagePart): Markup[] {
  const list: [string, string | null | undefined | false][] = [
    ['Size', scan.size && `${mmTriple(scan.size)} mm`],
    ['Wanted', quantity > 1 && String(quantity)],
    ['Group', group],
    ['Role', role],
    ['Volume', scan.mesh?.volumeMm3 ? `${mm(scan.mesh.volumeMm3 / 1000)} cm\u00b3` : scan.mesh && 'unknown'],
    ['Filament', massG !== null ? `${grams(massG)}${scan.verdict === 'too-big' ? ' in one piece' : ''}` : because && `unknown (${because})`],
    ['Hours', h && `${hours(h.likely)} (${hours(h.low)} to ${hours(h.high)})`],
    ['Triangles', scan.mesh && scan.mesh.triangles.toLocaleString('en').replaceAll(',', '\u202f')],
  ]; // prettier-ignore
  return list.filter(([, value]) => value).map(([name, value]) => html`<div><dt>${name}</dt><dd>${value as string}</dd></div>`); // prettier-ignore
}

function mainView({ name, pictures }: PagePart): Markup {
  const view = pictures?.views[0];
  if (!view) return raw('');
  const bar = barFor(view);
  const marks = view.marks.map(
    ({ code, x, y }) =>
      `<g transform="translate(${x} ${y})"><circle r="64" class="flaw"/><text y="28" text-anchor="middle">${FLAWS[code]?.letter ?? '!'}</text></g>`,
  );
  return html`<figure class="main">
    ${svgOf(view, `${name}, isometric view as modelled${view.marks.length ? ', flaws of the mesh marked' : ''}`, raw(marks.join('')), bar)}
    <figcaption>as modelled; the bar is ${bar} mm</figcaption>
  </figure>`;
}

/** Place of the body that can be turned; without scripts there is nothing to see of it. */
function turnable({ id, name, pictures }: PagePart): Markup {
  const solid = pictures?.solid;
  if (!solid || solid.shown === 0) return raw('');
  const { data, ...rest } = solid;
  return html`<div class="turn" data-turn hidden>
    <button type="button" data-open aria-controls="${id}-t">Turn it around</button>
    <div class="stage" id="${id}-t" hidden>
      <canvas
        tabindex="0"
        aria-label="${name} in three dimensions; arrow keys turn it, plus and minus change the distance"
      ></canvas>
      <div class="row">
        ${rest.bodies.length > 1 && html`<label>Pieces apart <input type="range" min="0" max="100" value="60" data-apart /></label>`}<button
          type="button"
          data-close
        >
          Close
        </button>
      </div>
      <p class="note">
        ${solid.shown < solid.of ? `Shown with ${solid.shown} of its ${solid.of} triangles, for looking at only.` : 'Shown with all its triangles.'}
        Drag or use the arrow keys.
      </p>
    </div>
    <script type="application/octet-stream" data-head="${JSON.stringify(rest)}">
      ${raw(data)}
    </script>
  </div>`;
}

/** The way up it is printed, with the space under it that wants supports. */
function asPrinted({ name, pictures }: PagePart): Markup {
  const below = pictures?.supports;
  if (!below) return raw('');
  const bar = barFor(below);
  return html`<figure>
    ${svgOf(below, `${name} as printed, with the space that supports fill`, raw(''), bar)}
    <figcaption>
      as printed; <span class="amber">amber</span>: supports; the bar is ${bar} mm
    </figcaption>
  </figure>`;
}

function smallViews({ name, pictures }: PagePart): Markup {
  const views = pictures?.views.slice(1) ?? [];
  if (!views[0]) return raw('');
  return html`<div class="small">
      ${views.map(
        (v) =>
          html`<figure>
            ${svgOf(v, `${name} from the ${v.name}`)}
            <figcaption>${v.name}</figcaption>
          </figure>`,
      )}
    </div>
    <p class="note">Front, right and top at one scale ${scaleBar(views[0].pxPerMm)}</p>`;
}

function exploded({ name, pictures, split }: PagePart): Markup {
  const e = pictures?.exploded;
  if (!e) return raw('');
  const labels = e.labels.map(
    ({ id, x, y }) =>
      `<g transform="translate(${x} ${y})" class="piece"><circle r="84"/><text y="34" text-anchor="middle">${id}</text></g>`,
  );
  const bar = barFor(e);
  const dowels = (split?.joints ?? []).some((j) => j.regions.some((r) => r.dowels.length > 0));
  return html`<figure class="exploded">
    ${svgOf(e, `${name}: the ${e.labels.length} pieces pulled apart`, raw(labels.join('')), bar)}
    <figcaption>
      the pieces pulled apart${dowels && ', on the axes of their dowels'}; the bar is ${bar} mm
    </figcaption>
  </figure>`;
}
