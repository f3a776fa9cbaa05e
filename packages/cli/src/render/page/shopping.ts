import { counted, mm } from '../numbers.ts';
import { html, raw, type Markup } from './html.ts';
import type { PageModel } from './model.ts';

/** Dowels for the whole kit, and the cautions of cutting and gluing. */
export function shoppingSection({ split }: PageModel): Markup {
  if (!split?.shopping.length) return raw('');
  const cautions = [...new Set(split.parts.flatMap((p) => p.sheet?.cautions ?? []))];
  return html`<section id="dowels" aria-labelledby="h-dowels">
    <h2 id="h-dowels">Dowels to buy</h2>
    <div class="scroll" tabindex="0" role="region" aria-label="Dowels to buy">
      <table>
        <thead>
          <tr>
            <th>Stock</th>
            <th>Needed</th>
            <th>Cut to</th>
            <th>To buy</th>
          </tr>
        </thead>
        <tbody>
          ${split.shopping.map(
            (s) =>
              html`<tr>
                <td class="text">${s.stock}</td>
                <td>${s.count}</td>
                <td class="text">
                  ${s.cutsMm.map((c) => `${c.count} of ${mm(c.lengthMm)} mm`).join(', ') || 'as bought'}
                </td>
                <td>
                  ${s.item.lengthMm === null ? `${mm(s.toBuy)} mm` : counted(s.toBuy, 'piece')}
                </td>
              </tr>`,
          )}
        </tbody>
      </table>
    </div>
    ${cautions.map((c) => html`<p class="caution">${c}</p>`)}
  </section>`;
}
