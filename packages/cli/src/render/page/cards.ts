import { mmTriple } from '../numbers.ts';
import { html, type Markup } from './html.ts';
import { scaleBar, svgOf } from './drawing.ts';
import type { PageModel, PagePart } from './model.ts';
import { sign, VERDICTS, wordOf } from './signs.ts';

const grams = (g: number): string =>
  g >= 1000 ? `${(g / 1000).toFixed(2)} kg` : g >= 10 ? `${Math.round(g)} g` : `${g.toFixed(1)} g`;
const hours = (h: number): string => (h >= 10 ? `${Math.round(h)} h` : `${h.toFixed(1)} h`);

/** All parts as cards at one scale, with the means to choose among them. */
export function cardsSection(model: PageModel): Markup {
  const { parts } = model;
  const groups = [...new Set(parts.map((p) => p.group).filter((g) => g !== null))];
  const used = VERDICTS.filter((v) => parts.some((p) => p.scan.verdict === v.id));
  const drawn = parts.find((p) => p.pictures);
  const some = (has: (p: PagePart) => unknown): boolean => parts.some(has);
  return html`<section id="parts" aria-labelledby="h-parts">
    <h2 id="h-parts">The parts</h2>
    <form class="choose" id="choose" hidden aria-label="Choose parts">
      <fieldset>
        <legend>Verdict</legend>
        ${used.map((v) => {
          const count = parts.filter((p) => p.scan.verdict === v.id).length;
          return html`<label class="chip"
            ><input type="checkbox" name="verdict" value="${v.id}" checked />${sign(v.id)}<span
              >${v.word}</span
            ><b>${count}</b></label
          >`;
        })}
      </fieldset>
      <div class="row">
        ${
          groups.length > 0 &&
          html`<label
            >Group
            <select name="group">
              <option value="">all</option>
              ${groups.map((g) => html`<option>${g}</option>`)}
            </select></label
          >`
        }
        <label
          >Order
          <select name="order">
            <option value="news">worst news first</option>
            <option value="name">name</option>
            <option value="size">size, largest first</option>
            ${some((p) => p.massG) && html`<option value="mass">mass, heaviest first</option>`}${some((p) => p.hours) && html`<option value="hours">hours, longest first</option>`}${groups.length > 0 && html`<option value="group">group</option>`}
          </select></label
        >
        <label
          >Name <input type="search" name="find" placeholder="part of a name" size="14"
        /></label>
        <output id="count" aria-live="polite"></output>
      </div>
    </form>
    <p class="note">
      Every part stands in the build envelope as it would be printed; all are drawn at one
      scale${drawn?.pictures && html`, ${scaleBar(drawn.pictures.card.pxPerMm, 60)}`}.
    </p>
    <ul class="cards" id="cards">
      ${parts.map(card)}
    </ul>
    <p id="none" hidden>No part answers to this choice.</p>
  </section>`;
}

function card(part: PagePart, i: number): Markup {
  const { scan, pictures } = part;
  const size = scan.size ?? [0, 0, 0];
  const picture = pictures?.card;
  const wide = picture && (picture.width / 8 > 215 || picture.height / 8 > 330);
  const figures = [
    part.massG !== null && grams(part.massG),
    part.hours && hours(part.hours.likely),
  ].filter((x) => typeof x === 'string');
  return html`<li
    class="card v-${scan.verdict}${wide ? ' wide' : ''}"
    data-i="${i}"
    data-v="${scan.verdict}"
    data-g="${part.group ?? ''}"
    data-n="${part.name.toLowerCase()}"
    data-s="${Math.max(...size)}"
    data-m="${part.massG ?? 0}"
    data-h="${part.hours?.likely ?? 0}"
  >
    <a href="#${part.id}"
      >${picture ? svgOf(picture, `${part.name} in its build envelope`) : html`<span class="nopicture">${sign(scan.verdict)}</span>`}
      <strong>${part.name}</strong></a
    >
    <p class="verdict v-${scan.verdict}">
      ${sign(scan.verdict)}${wordOf(scan.verdict)}${scan.piecesAtLeast && scan.piecesAtLeast.count > 1 && html` <span>${pieces(part)}</span>`}
    </p>
    ${scan.size && html`<p class="figures">${mmTriple(scan.size)} mm</p>`}
    <p class="figures">
      ${part.quantity > 1 && `${part.quantity} wanted, each `}${figures.join(' · ')}
    </p>
  </li>`;
}

function pieces(part: PagePart): string {
  const plan = part.split?.plans[0];
  const least = part.scan.piecesAtLeast?.count ?? 1;
  return plan ? `into ${plan.pieces.length}` : `into ${least} or more`;
}

export { grams, hours };
