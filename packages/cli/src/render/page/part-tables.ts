import type { OrientResult, SplitPart } from '@scantling/core';
import { counted, mm, mmTriple } from '../numbers.ts';
import { meetsNothing } from '../split.ts';
import { html, raw, type Markup } from './html.ts';
import { deg, turnWords } from './proof.ts';

const cm3 = (mm3: number): string => `${mm(mm3 / 1000)} cm\u00b3`;

type Seam = SplitPart['plans'][number]['cuts'][number]['seam'];

/** The glued area; a dash where nothing is cut. */
function glued(seam: Seam | undefined): string {
  if (seam && meetsNothing(seam)) return '-';
  return seam?.areaMm2 ? mm(seam.areaMm2) : 'unknown';
}

/** Cuts in order, each as a turn and a height. */
export function cutsTable(split: SplitPart): Markup {
  const plan = split.plans[0];
  if (!plan || !split.sheet) return split.error ? html`<p>${split.error}</p>` : raw('');
  const least = split.lowerBound;
  return html`<h4>Cuts</h4><p>${counted(plan.pieces.length, 'piece')}${least && `; fewer than ${least.count} ${least.count === 1 ? 'is' : 'are'} impossible (${least.because.replace(/\.$/, '')})`}. ${split.plans.length > 1 && `${counted(split.plans.length - 1, 'other plan')} that really ${split.plans.length === 2 ? 'differs' : 'differ'} would cost ${split.plans.slice(1).map((p) => `${mm(p.cost.total)} mm`).join(' and ')} of seam and its like, this one ${mm(plan.cost.total)} mm.`}</p>
<div class="scroll" tabindex="0" role="region" aria-label="Cuts"><table><thead><tr><th>Cut</th><th>Turn</th><th>Height mm</th><th>Below</th><th>Above</th><th>Seam mm</th><th>Glued mm\u00b2</th></tr></thead><tbody>${split.sheet.cutting.map((step) => {
    const cut = plan.cuts.find((c) => c.id === step.cut);
    return html`<tr><td>${step.order}</td><td class="text">${turnWords(step.turnsDeg)}</td><td>${mm(step.heightMm)}</td><td>${step.below.join(', ')}</td><td>${step.above.join(', ')}</td><td>${cut ? mm(cut.seam.lengthMm) : '-'}</td><td>${glued(cut?.seam)}</td></tr>`;
  })}</tbody></table></div>${[...split.remarks, ...plan.remarks].map((r) => html`<p class="remark">${r}</p>`)}`;
} // prettier-ignore

/** Dowels with the wall proved round each. */
export function dowelsTable(split: SplitPart): Markup {
  const dowels = split.joints.flatMap((j) => j.regions.flatMap((r) => r.dowels.map((d) => ({ joint: j.id, d })))); // prettier-ignore
  const advice = split.joints.flatMap((j) => j.regions.flatMap((r) => r.advice.map((a) => `Face ${j.id}: ${a.words}`))); // prettier-ignore
  if (!dowels.length && !advice.length) return raw('');
  return html`<h4>Dowels</h4>
    ${
      dowels.length > 0 &&
      html`<div class="scroll" tabindex="0" role="region" aria-label="Dowels">
        <table>
          <thead>
            <tr>
              <th>Dowel</th>
              <th>Stock</th>
              <th>Hole mm</th>
              <th>Depth below, above mm</th>
              <th>Least wall mm</th>
              <th>to</th>
            </tr>
          </thead>
          <tbody>
            ${dowels.map(
              ({ d }) =>
                html`<tr>
                  <td>${d.id}</td>
                  <td class="text">${d.stock}</td>
                  <td>${mm(d.holeDiameterMm)}</td>
                  <td>${mm(d.depthBelowMm)}, ${mm(d.depthAboveMm)}</td>
                  <td>${mm(d.leastWallMm)}${d.proved ? '' : ' (not proved)'}</td>
                  <td>${d.leastWallTo}</td>
                </tr>`,
            )}
          </tbody>
        </table>
      </div>`
    }${advice.map((a) => html`<p class="remark">${a}</p>`)}
    <p class="note">
      Strengths of glued joints are estimates. Nothing that carries people or hangs overhead may
      rest on one alone.
    </p>`;
}

/** Ways up that really differ, the choice first. */
export function waysTable(orient: OrientResult): Markup {
  if (!orient.ways.length) return raw('');
  return html`<h4>Ways up</h4>
    <div class="scroll" tabindex="0" role="region" aria-label="Ways up">
      <table>
        <thead>
          <tr>
            <th>Turn (fixed axes)</th>
            <th>Best at</th>
            <th>Supports</th>
            <th>Height mm</th>
            <th>On the plate</th>
            <th>Least tip angle</th>
          </tr>
        </thead>
        <tbody>
          ${orient.ways.map(
            (w, i) =>
              html`<tr${i === 0 ? raw(' class="first"') : ''}><td class="text">${i === 0 ? 'Choice: ' : ''}${turnWords(w.turnsDeg)}</td><td class="text">${w.bestAt.join(', ') || '-'}</td><td>${cm3(w.supports.volumeMm3)}</td><td>${mm(w.heightMm)}</td><td>${mm(w.contact.areaMm2 / 100)} cm\u00b2</td><td>${deg(w.stability.leastTipDeg)}${w.steady ? '' : ' unsteady'}</td></tr>`,
          )}
        </tbody>
      </table>
    </div>
    <p class="note">
      As modelled: supports
      ${cm3(orient.asModelledSupportsMm3)}${orient.savingMm3 !== null && orient.savingMm3 > 0 ? `; the choice saves ${cm3(orient.savingMm3)}` : ''}.
    </p>
    ${orient.cautions.map((c) => html`<p class="remark">${c}</p>`)}`;
}

export { cm3, mmTriple };
