import { existsSync, statSync } from 'node:fs';
import { basename, join, resolve } from 'node:path';
import type { KitPart, LengthUnit, ScanPart, Workshop } from '@scantling/core';
import { cacheFolder, sweepCache } from './cache.ts';
import type { ReportOptions } from './commands/report.ts';
import type { Io } from './io.ts';
import { runPool } from './pool.ts';
import { progressBar } from './render/progress.ts';
import type { PagePart } from './render/page/model.ts';
import type { Look, PartAnswer, PictureJob, PictureSetup, PictureWish } from './tasks/picture.ts';
import { version } from './version.ts';

/** Longest side of a card's picture, px, and how wide the build envelope may be on it. */
const CARD_PX = 430;
const ENVELOPE_PX = 185;

/**
 * How the page's bytes are shared out. 5 MB are the limit; the viewer, words, tables, data and
 * sheets have the rest. A triangle of a turnable body takes some 6 bytes, a part has about four
 * pictures of full size.
 */
const PICTURE_BYTES = 2_000_000;
const TURNED_BYTES = 1_100_000;
const TRIANGLE_BYTES = 6.5;
const PICTURES = 3.2;
/** Fewer triangles than this show nothing worth turning. */
const LEAST_TURNED = 500;
/** Triangles of all parts together that are drawn in some ten seconds, and in the figure. */
const DRAWN = 3_200_000;
const IN_FIGURE = 300_000;

/** The means of one picture, from the number of parts that share the page. */
export function lookOf(parts: number, cardPxPerMm: number, figure: boolean): Look {
  const n = Math.max(1, parts);
  const turned = Math.min(16_000, Math.floor(TURNED_BYTES / TRIANGLE_BYTES / n));
  return {
    cardPxPerMm,
    means: {
      fineness: n > 160 ? 0.4 : n > 40 ? 0.6 : 1,
      bytes: Math.max(1200, Math.min(60_000, PICTURE_BYTES / n / PICTURES)),
    },
    drawn: Math.max(12_000, Math.floor(DRAWN / n)),
    turned: turned < LEAST_TURNED ? 0 : turned,
    inFigure: figure ? Math.max(400, Math.floor(IN_FIGURE / n)) : 0,
  };
}

export interface Drawn {
  readonly answers: readonly (PartAnswer | null)[];
  readonly look: Look;
  /** Parts that could not be drawn, one line each. */
  readonly troubles: readonly string[];
}

/** Judges and draws every part in worker threads. `base`: folder of the result that names them. */
export async function drawAll(
  io: Io,
  parts: readonly PagePart[],
  workshop: Workshop,
  options: ReportOptions & { readonly figure: boolean },
  base: string,
  kitPart: (part: PagePart) => KitPart | null,
): Promise<Drawn> {
  const core = await import('@scantling/core');
  const wishOf = ({ scan, split, orient, massG }: PagePart, kit: KitPart | null): PictureWish => ({
    scan,
    split,
    orient,
    weighed: massG !== null,
    material: kit?.material ?? 'PLA',
    recipe: kit && core.recipeOf(kit),
    // A kit knows the unit of a file that does not tell it; the scan had to take mm.
    unitMm: kit && scan.unit?.from === 'assumed' ? core.MM_PER_UNIT[kit.unit] : 1,
  });
  const readable = parts.filter((p) => p.scan.size);
  const scale = cardScale(readable.map((p) => p.scan), workshop.machines.map((m) => m.envelope)); // prettier-ignore
  const look = lookOf(readable.length, scale, options.figure);
  const folder = options.cache ? cacheFolder(io.env) : null;
  const jobs = new Map<string, PictureJob & { at: number[] }>();
  parts.forEach((part, i) => {
    const path = fileOf(part.scan.file, base, io.cwd);
    if (!path || !part.scan.size) return;
    const job = jobs.get(path) ?? { path, name: part.scan.file, bytes: statSync(path).size, unit: unitGiven(part.scan), wishes: [], at: [] }; // prettier-ignore
    (job.wishes as PictureWish[]).push(wishOf(part, kitPart(part)));
    job.at.push(i);
    jobs.set(path, job);
  });
  const answers = new Array<PartAnswer | null>(parts.length).fill(null);
  const troubles: string[] = [];
  const bar = progressBar(io, jobs.size, 'draw');
  await runPool<PictureJob & { at: number[] }, (PartAnswer | null)[]>({
    task: 'picture',
    setup: {
      machines: workshop.machines.map(({ envelope, estimate, orient }) => ({ envelope, estimate, orient })),
      materials: workshop.materials,
      look,
      cacheFolder: folder,
      version: version(),
    } satisfies PictureSetup,
    jobs: [...jobs.values()].sort((a, b) => b.bytes - a.bytes),
    threads: options.jobs,
    signal: io.signal,
    limitMs: 300_000,
    onResult: (job, answer) => {
      answer.forEach((a, k) => (answers[job.at[k] as number] = a));
      bar.step(job.name);
    },
    onFailure: (job, failure) => {
      troubles.push(`${job.name}: not drawn, ${failure.message}`);
      bar.step(job.name);
    },
  }); // prettier-ignore
  bar.end();
  if (folder !== null) await sweepCache(folder);
  return { answers, look, troubles };
}

const unitGiven = ({ unit }: ScanPart): LengthUnit | null =>
  unit?.from === 'given' ? (unit.taken as LengthUnit) : null;

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
