import { existsSync, statSync } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';
import type { Estimate, KitPart, LengthUnit, Scan, Workshop } from '@scantling/core';
import type { ReportOptions } from './commands/report.ts';
import type { Io } from './io.ts';
import { commonFolder } from './render/scan-words.ts';
import type { PageModel, PagePart } from './render/page/model.ts';
import { drawAll } from './report-draw.ts';
import { readKit, readResults, type Results } from './report-inputs.ts';
import { figureOf } from './report-figure.ts';
import { MOST_PAGE_BYTES, pageWithin } from './report-page.ts';
import { benchSheets, type SheetFile } from './report-sheets.ts';
import { version } from './version.ts';

export interface MadeReport {
  readonly page: string;
  readonly sheets: readonly SheetFile[];
  /** Parts that could not be drawn, a page that is too large; one line each. */
  readonly troubles: readonly string[];
}

/** Gathers what is known of a kit, judges and draws every part and writes the page. */
export async function makeReport(
  io: Io,
  given: string,
  options: ReportOptions,
  loadShop: () => Promise<Workshop>,
): Promise<MadeReport> {
  const path = resolve(io.cwd, given);
  const folder = existsSync(path) && statSync(path).isDirectory() ? path : null;
  const named = given.endsWith('.json') ? [given] : [];
  const results = await readResults(io, [...named, ...(options.with ?? [])], folder);
  const workshop = await loadShop();
  const kit = await readKit(io, options.kit, folder ?? dirname(path));
  const kitPart = (part: { readonly scan: { readonly file: string } }): KitPart | null =>
    kit?.kit.parts.find((k) => same(k.file, part.scan.file)) ?? null;
  const unitOf = (file: string): LengthUnit | null =>
    options.unit ? null : (kitPart({ scan: { file } })?.unit ?? null);
  const scan = named.length && results.scan ? results.scan : await freshScan(io, given, workshop, options, unitOf); // prettier-ignore
  const bare = partsOf(scan, results, kitPart);
  const base = named.length ? dirname(path) : io.cwd;
  const { answers, look, troubles } = await drawAll(io, bare, workshop, { ...options, figure: kit !== null }, base, kitPart); // prettier-ignore
  const parts = bare.map((part, i): PagePart => {
    const answer = answers[i];
    if (!answer) return part;
    const { orient, pictures, estimate, because } = answer;
    const weighed = estimate && { massG: estimate.massG, hours: estimate.hours };
    return { ...part, orient, pictures, ...weighed, because };
  });
  const { plateOutline } = await import('@scantling/core');
  const title = options.title ?? kit?.kit.name ?? nameOfFolder(scan, path);
  const sheets = await benchSheets(title, parts, options.letter ? 'letter' : 'a4');
  const model: Omit<PageModel, 'sheets' | 'leftOut'> = {
    title,
    date: io.now().toISOString().slice(0, 10),
    version: version(),
    scan,
    parts,
    split: results.split,
    estimate: results.estimate ?? (await estimateOf(parts, answers, workshop, kitPart)),
    plan: results.plan,
    figure: kit ? await figureOf(io, kit.kit, kit.folder, parts, workshop, options) : null,
    drawnFrom: look.drawn,
    plates: new Map(workshop.machines.map((m) => [m.envelope.name, plateOutline(m.envelope)])),
  };
  const page = pageWithin(model, sheets);
  const mb = Buffer.byteLength(page) / 1e6;
  const tooLarge = mb * 1e6 > MOST_PAGE_BYTES ? [`The page has ${mb.toFixed(1)} MB, more than the ${MOST_PAGE_BYTES / 1e6} MB that open well on a phone: report on a part of the folder at a time.`] : []; // prettier-ignore
  return {
    page,
    sheets: options.sheets === undefined ? [] : sheets.map(({ file }) => file).flat(),
    troubles: [...troubles, ...tooLarge],
  };
}

/** The page's own estimate, in the words of `scantling estimate`. */
async function estimateOf(
  parts: readonly PagePart[],
  answers: readonly ({ readonly estimate: Estimate['parts'][number]['estimate'] } | null)[],
  { machines, materials, schedule }: Workshop,
  kitPart: (part: PagePart) => KitPart | null,
): Promise<Estimate | null> {
  const core = await import('@scantling/core');
  const machine = machines[0];
  if (!machine) return null;
  return core.estimateOf(
    machine.envelope.name,
    machine.estimate,
    parts.map((part, i) => ({
      file: part.scan.file,
      part: part.scan.part,
      quantity: part.quantity,
      material: kitPart(part)?.material ?? 'PLA',
      estimate: answers[i]?.estimate ?? null,
      because: part.because,
      choices: [],
      wholeOrSplit: null,
    })),
    materials,
    schedule.spoolReserveShare,
  );
}

async function freshScan(
  io: Io,
  given: string,
  workshop: Workshop,
  options: ReportOptions,
  unitOf: (file: string) => LengthUnit | null,
): Promise<Scan> {
  // prettier-ignore
  const [{ runScan }, { inUnits }, { findFiles }] = await Promise.all([
    import('./scan-run.ts'),
    import('./kit-session.ts'),
    import('./session.ts'),
  ]);
  const found = await findFiles(io, [given]);
  for (const trouble of found.troubles) io.stderr(`scantling: ${trouble}\n`);
  return runScan(
    io,
    inUnits(found.files, ({ name }) => unitOf(name)),
    workshop,
    options,
  );
}

function nameOfFolder(scan: Scan, path: string): string {
  const folder = commonFolder(scan.parts.map((p) => p.file)).replace(/\/$/, '');
  const name = basename(folder || dirname(path)) || 'Parts';
  return name.charAt(0).toUpperCase() + name.slice(1).replace(/[-_]+/g, ' ');
}

const same = (a: string, b: string): boolean => a === b || basename(a) === basename(b);

/** Joins what the results say of the same part. Results name files as their own run saw them. */
function partsOf(
  scan: Scan,
  results: Results,
  kitPart: (part: { readonly scan: { readonly file: string } }) => KitPart | null,
): PagePart[] {
  // prettier-ignore
  const folder = commonFolder(scan.parts.map((p) => p.file));
  return scan.parts.map((part, i): PagePart => {
    const own = kitPart({ scan: part });
    const estimate = results.estimate?.parts.find((e) => same(e.file, part.file) && e.part === part.part); // prettier-ignore
    const full = part.part === null ? part.file : `${part.file} (${part.part})`;
    const oriented = results.orient?.parts.find((o) => same(o.name, full));
    const split = results.split?.parts.find((s) => same(s.file, part.file) && s.part === part.part && s.state !== 'whole'); // prettier-ignore
    return {
      id: `p${i + 1}`,
      name: full.slice(folder.length),
      scan: part,
      group: own?.group ?? null,
      role: own?.role ?? null,
      quantity: own?.quantity ?? 1,
      massG: estimate?.estimate?.massG ?? null,
      hours: estimate?.estimate?.hours ?? null,
      because: estimate?.because ?? null,
      split: split ?? null,
      orient: oriented?.result ?? null,
      pictures: null,
    };
  });
}
