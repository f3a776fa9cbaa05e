import type { ReportData } from '@scantling/core';
import { counted, listed } from '../numbers.ts';
import { cardsSection, grams, hours } from './cards.ts';
import { figureSection } from './figure.ts';
import { html, raw, scriptJson, type Markup } from './html.ts';
import { legendSection } from './legend.ts';
import type { PageModel } from './model.ts';
import { partSection, sheetLink } from './part.ts';
import { filamentSection, planSection } from './plan.ts';
import { SIGN_SHEET } from './signs.ts';
import { shoppingSection } from './shopping.ts';
import { STYLE } from './style.ts';

/** Scripts of the page as text, made by the build from `src/page`. */
export interface PageScripts {
  /** Runs at once: choosing, ordering, and loading of the viewer. */
  readonly page: string;
  /** The viewer, deflated, base64; unpacked at the first turn. */
  readonly turn: string;
}

/** One file that needs nothing else: styles, drawings, data and scripts inside; no address outside. */
export function reportPage(model: PageModel, scripts: PageScripts): string {
  const { parts, plan, estimate, figure } = model;
  const kitSheets = model.sheets.get('kit') ?? [];
  const jumps: [string, string][] = [
    ...(figure ? [['figure', 'Standing figure'] as [string, string]] : []),
    ['parts', 'Parts'],
    ...(plan ? [['plan', 'Plan'] as [string, string]] : []),
    ...(plan || estimate?.total.spools.length ? [['filament', 'Filament'] as [string, string]] : []), // prettier-ignore
    ...(model.split?.shopping.length ? [['dowels', 'Dowels to buy'] as [string, string]] : []),
    ['details', 'Part by part'],
    ['reading', 'How to read'],
  ];
  const page = html`<!doctype html>
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width,initial-scale=1" />
        <meta
          http-equiv="Content-Security-Policy"
          content="default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'"
        />
        <title>${model.title}</title>
        <link rel="icon" href="data:," />
        <style>
          ${raw(STYLE)}
        </style>
      </head>
      <body>
        <a class="skip" href="#parts">To the parts</a>${SIGN_SHEET}
        <header class="top">
          <h1>${model.title}</h1>
          <p class="lead">${sentence(model)}</p>
          <dl class="block">${figures(model)}</dl>
          ${kitSheets.length > 0 && html`<p class="sheets">To take to the bench: ${kitSheets.map(sheetLink)}</p>`}
        </header>
        <nav class="jump" aria-label="Sections">
          <ul>
            ${jumps.map(([id, name]) => html`<li><a href="#${id}">${name}</a></li>`)}
          </ul>
        </nav>
        <main>
          ${figure && figureSection(figure)} ${cardsSection(model)}
          ${plan && planSection(plan, model.plates)} ${filamentSection(plan, estimate)}
          ${shoppingSection(model)}
          <section id="details" aria-labelledby="h-details">
            <h2 id="h-details">Part by part</h2>
            ${parts.map((p) => partSection(p, model))}
          </section>
          ${legendSection(model)}
        </main>
        <footer>
          Made by scantling ${model.version} on ${model.date}. Machines:
          ${model.scan.settings.machines.map((m) => `${m.name} (${m.envelope})`).join('; ')}.
          Everything here is in this one file.
        </footer>
        <script type="application/json" id="data">
          ${scriptJson(dataOf(model))}
        </script>
        <script type="application/octet-stream" id="turn-code">
          ${raw(scripts.turn)}
        </script>
        <script>
          ${raw(scripts.page.replaceAll('</script', '<\\/script'))};
        </script>
      </body>
    </html> `;
  return page.text;
}

const wants = (count: number): string => (count === 1 ? 'wants' : 'want');

/** The kit in one sentence. */
export function sentence({ scan, parts, plan }: PageModel): string {
  const { counts } = scan.kit;
  const pieces = parts.reduce((sum, p) => sum + p.quantity, 0);
  const said = [
    counts.fits && `${counts.fits} ${counts.fits === 1 ? 'goes' : 'go'} on as modelled`,
    counts['fits-turned'] && `${counts['fits-turned']} ${wants(counts['fits-turned'])} a turn`,
    counts['fits-tilted'] && `${counts['fits-tilted']} ${wants(counts['fits-tilted'])} tilting`,
    counts['too-big'] && `${counts['too-big']} must be split`,
    counts.undecided && `${counts.undecided} ${counts.undecided === 1 ? 'is' : 'are'} undecided`,
    counts.unreadable && `${counts.unreadable} cannot be read`,
  ].filter((x) => typeof x === 'string');
  const copies = pieces > parts.length ? ` (${pieces} with their copies)` : '';
  return `${counted(parts.length, 'part')}${copies}: ${listed(said)}${plan ? `; printed in ${hours(plan.hours)}` : ''}.`;
}

function figures(model: PageModel): Markup[] {
  const { scan, parts, plan, estimate, figure } = model;
  const whole = scan.kit.counts.fits + scan.kit.counts['fits-turned'] + scan.kit.counts['fits-tilted']; // prettier-ignore
  const cut = parts.reduce((n, p) => n + (p.split?.plans[0]?.pieces.length ?? 0), 0);
  const mass = estimate?.total.massG ?? plan?.spools.reduce((sum, s) => sum + s.massG, 0) ?? null;
  const time = plan ? plan.machines.reduce((s, m) => s + m.busyH, 0) : (estimate?.total.hours ?? null); // prettier-ignore
  const spools = (plan?.spools ?? estimate?.total.spools ?? []).reduce((n, s) => n + s.spools, 0);
  const list: [string, string, string?][] = [
    ['Parts', String(parts.length)],
    ['Go on whole', String(whole), `of ${parts.length}`],
    ['Must be split', String(scan.kit.counts['too-big']), cut ? `into ${cut} pieces` : ''],
    ...(scan.kit.scale ? [['Whole kit unsplit at', `${(Math.floor(1000 * scan.kit.scale.atLeast) / 10).toFixed(1)} %`, 'of its size'] as [string, string, string]] : []),
    ...(mass ? [['Filament', grams(mass), spools ? counted(spools, 'spool') : ''] as [string, string, string]] : []),
    ...(time ? [['Printing', hours(time), plan ? `over ${(plan.hours / 24).toFixed(1)} days` : ''] as [string, string, string]] : []),
    ...(figure ? [['Stands', `${(figure.heightMm / 1000).toFixed(2)} m`, 'tall'] as [string, string, string]] : []),
  ]; // prettier-ignore
  return list.map(([name, value, small]) => html`<div><dt>${name}</dt><dd>${value} ${small && html`<small>${small}</small>`}</dd></div>`); // prettier-ignore
}

/** The page's figures as data, for other programs. */
function dataOf({ title, date, parts, scan, plan, estimate, figure, leftOut }: PageModel): ReportData {
  return {
    schema: 'scantling/report@1',
    title,
    date,
    parts: parts.map(({ id, name, group, role, quantity, massG, hours: h, split, orient, pictures }) => ({
      id,
      name,
      group,
      role,
      quantity,
      massG,
      hours: h?.likely ?? null,
      pieces: split?.plans[0]?.pieces.length ?? null,
      turnsDeg: orient?.ways[0]?.turnsDeg ?? null,
      drawnFrom: pictures?.drawnFrom ?? null,
      turnable: pictures?.solid ? { shown: pictures.solid.shown, of: pictures.solid.of } : null,
    })),
    scan,
    plan,
    estimate: estimate && { ...estimate, parts: estimate.parts.map((p) => ({ ...p, choices: [] })) },
    balance: figure?.balance ?? null,
    leftOut: [...leftOut],
  };
} // prettier-ignore
