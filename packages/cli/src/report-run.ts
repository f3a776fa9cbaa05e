import { existsSync, statSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import type { KitPart, Scan, ScanPart, Workshop } from '@scantling/core';
import type { ReportOptions } from './commands/report.ts';
import type { Io } from './io.ts';
import { runPool } from './pool.ts';
import { progressBar } from './render/progress.ts';
import { commonFolder } from './render/scan-words.ts';
import { reportPage } from './render/page/page.ts';
import type { PageModel, PagePart, SheetLink } from './render/page/model.ts';
import { readKit, readResults, type Results } from './report-inputs.ts';
import { figureOf } from './report-figure.ts';
import { benchSheets, type SheetFile } from './report-sheets.ts';
import { pageScripts } from './report-scripts.ts';
import type { PartPictures, PictureJob, PictureSetup, PictureWish } from './tasks/picture.ts';
import { version } from './version.ts';

export interface MadeReport {
  readonly page: string;
  readonly sheets: readonly SheetFile[];
  /** Parts that could not be drawn, one line each. */
  readonly troubles: readonly string[];
}

/** Longest side of a card's picture, px, and how wide the build envelope may be on it. */
const CARD_PX = 430;
const ENVELOPE_PX = 185;
/** Triangles of all turnable bodies together: some 6 bytes each in the page. */
const TRIANGLES = 320_000;

/** Gathers what is known of a kit, draws every part and writes the page. */
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
  const scan = named.length && results.scan ? results.scan : await freshScan(io, given, workshop, options); // prettier-ignore
  const kit = await readKit(io, options.kit, folder ?? dirname(path));
  const parts = partsOf(scan, results, kit?.kit.parts ?? []);
  const drawn = await drawAll(io, parts, workshop, options, named.length ? dirname(path) : io.cwd); // prettier-ignore
  const withPictures = parts.map((part, i) => ({ ...part, pictures: drawn.pictures[i] ?? null }));
  const title = options.title ?? kit?.kit.name ?? nameOfFolder(scan, path);
  const sheets = await benchSheets(title, withPictures, options.letter ? 'letter' : 'a4');
  const model: PageModel = {
    title,
    date: io.now().toISOString().slice(0, 10),
    version: version(),
    scan,
    parts: withPictures,
    split: results.split,
    estimate: results.estimate,
    plan: results.plan,
    figure: kit ? await figureOf(kit.kit, withPictures) : null,
    sheets: linksOf(sheets),
  };
  return {
    page: reportPage(model, pageScripts()),
    sheets: options.sheets === undefined ? [] : sheets.map(({ file }) => file).flat(),
    troubles: drawn.troubles,
  };
}

/** The page carries the PDF sheets; those of many pages are left to `--sheets`. */
const MOST_SHEET_BYTES = 150_000;
function linksOf(sheets: Awaited<ReturnType<typeof benchSheets>>): PageModel['sheets'] {
  const out = new Map<string, SheetLink[]>();
  for (const { of, label, file } of sheets)
    for (const { name, data } of file) {
      if (typeof data === 'string' || data.length > MOST_SHEET_BYTES) continue;
      const base64 = Buffer.from(data).toString('base64');
      const link = { name, label, mime: 'application/pdf', base64, bytes: data.length };
      out.set(of, [...(out.get(of) ?? []), link]);
    }
  return out;
}

async function freshScan(
  io: Io,
  given: string,
  workshop: Workshop,
  options: ReportOptions,
): Promise<Scan> {
  // prettier-ignore
  const [{ runScan }, { findFiles }] = await Promise.all([
    import('./scan-run.ts'),
    import('./session.ts'),
  ]);
  const found = await findFiles(io, [given]);
  for (const trouble of found.troubles) io.stderr(`scantling: ${trouble}\n`);
  return runScan(io, found.files, workshop, options);
}

function nameOfFolder(scan: Scan, path: string): string {
  const folder = commonFolder(scan.parts.map((p) => p.file)).replace(/\/$/, '');
  const name = basename(folder || dirname(path)) || 'Parts';
  return name.charAt(0).toUpperCase() + name.slice(1).replace(/[-_]+/g, ' ');
}

/** Joins what the results say of the same part. Results name files as their own run saw them. */
function partsOf(scan: Scan, results: Results, kit: readonly KitPart[]): PagePart[] {
  const folder = commonFolder(scan.parts.map((p) => p.file));
  const same = (a: string, b: string): boolean => a === b || basename(a) === basename(b);
  return scan.parts.map((part, i): PagePart => {
    const own = kit.find((k) => same(k.file, part.file));
    const estimate = results.estimate?.parts.find((e) => same(e.file, part.file) && e.part === part.part)?.estimate; // prettier-ignore
    const full = part.part === null ? part.file : `${part.file} (${part.part})`;
    const oriented = results.orient?.parts.find((o) => same(o.name, full));
    const split = results.split?.parts.find((s) => same(s.file, part.file) && s.part === part.part && s.plans.length > 0); // prettier-ignore
    return {
      id: `p${i + 1}`,
      name: full.slice(folder.length),
      scan: part,
      group: own?.group ?? null,
      role: own?.role ?? null,
      quantity: own?.quantity ?? 1,
      massG: estimate?.massG ?? null,
      hours: estimate?.hours ?? null,
      split: split ?? null,
      orient: oriented?.result ?? null,
      pictures: null,
    };
  });
}

async function drawAll(
  io: Io,
  parts: readonly PagePart[],
  workshop: Workshop,
  options: ReportOptions,
  base: string,
): Promise<{ pictures: (PartPictures | null)[]; troubles: string[] }> {
  const readable = parts.filter((p) => p.scan.size);
  const envelopes = workshop.machines.map((m) => m.envelope);
  const setup: PictureSetup = {
    unit: options.unit ?? null,
    cardPxPerMm: cardScale(readable.map((p) => p.scan), envelopes),
    fineness: parts.length > 40 ? 0.6 : 1,
    triangles: Math.max(1200, Math.min(16_000, Math.floor(TRIANGLES / Math.max(1, readable.length)))),
    envelopes,
  }; // prettier-ignore
  const jobs = new Map<string, PictureJob & { at: number[] }>();
  parts.forEach((part, i) => {
    const path = fileOf(part.scan.file, base, io.cwd);
    if (!path || !part.scan.size) return;
    const job = jobs.get(path) ?? { path, name: part.scan.file, bytes: statSync(path).size, wishes: [], at: [] }; // prettier-ignore
    (job.wishes as PictureWish[]).push(wishOf(part));
    job.at.push(i);
    jobs.set(path, job);
  });
  const pictures = new Array<PartPictures | null>(parts.length).fill(null);
  const troubles: string[] = [];
  const bar = progressBar(io, jobs.size, 'draw');
  await runPool<PictureJob & { at: number[] }, (PartPictures | null)[]>({
    task: 'picture',
    setup,
    jobs: [...jobs.values()].sort((a, b) => b.bytes - a.bytes),
    threads: options.jobs,
    signal: io.signal,
    limitMs: 300_000,
    onResult: (job, answer) => {
      answer.forEach((p, k) => (pictures[job.at[k] as number] = p));
      bar.step(job.name);
    },
    onFailure: (job, failure) => {
      troubles.push(`${job.name}: not drawn, ${failure.message}`);
      bar.step(job.name);
    },
  });
  bar.end();
  return { pictures, troubles };
}

const wishOf = ({ scan, split, orient }: PagePart): PictureWish => {
  const way = orient?.ways[0];
  return {
    scan,
    split: split,
    way: way && scan.verdict !== 'too-big' ? { rotation: way.rotation, translationMm: way.translationMm } : null, // prettier-ignore
  };
};

/** A result's file as it lies today: seen from here, or beside the result. */
function fileOf(name: string, base: string, cwd: string): string | null {
  const places = [resolve(cwd, name), resolve(base, name), join(base, basename(name))];
  return places.find((p) => existsSync(p)) ?? null;
}

/** Pixels per mm at which the largest part and the largest envelope still suit a card. */
function cardScale(
  parts: readonly ScanPart[],
  envelopes: readonly Workshop['machines'][number]['envelope'][],
): number {
  // prettier-ignore
  const isoWidth = (x: number, y: number): number => (x + y) * Math.SQRT1_2;
  let scale = 2;
  for (const { plate } of envelopes) {
    const [w, d] =
      plate.shape === 'box'
        ? [plate.widthMm, plate.depthMm]
        : plate.shape === 'round'
          ? [plate.diameterMm * 0.71, plate.diameterMm * 0.71]
          : [0, 1].map((k) => Math.max(...plate.outlineMm.map((p) => p[k as 0 | 1])) - Math.min(...plate.outlineMm.map((p) => p[k as 0 | 1]))); // prettier-ignore
    scale = Math.min(scale, ENVELOPE_PX / isoWidth(w ?? 1, d ?? 1));
  }
  for (const { turnedSizeMm, size } of parts) {
    const [x, y, z] = turnedSizeMm ?? size ?? [1, 1, 1];
    scale = Math.min(scale, CARD_PX / isoWidth(x, y), CARD_PX / ((x + y) * 0.41 + z * 0.82));
  }
  return scale;
}
