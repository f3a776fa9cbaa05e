import { beforeAll, describe, expect, it } from 'vitest';
import {
  boxEnvelope,
  boxMesh,
  scanOf,
  scanPart,
  type ScanPart,
} from '../../packages/core/src/index.ts';
import type { PageModel, PagePart } from '../../packages/cli/src/render/page/model.ts';
import { lookOf } from '../../packages/cli/src/report-draw.ts';
import { MOST_PAGE_BYTES, pageWithin } from '../../packages/cli/src/report-page.ts';
import type { BenchSheet } from '../../packages/cli/src/report-sheets.ts';
import { buildOnce } from '../acceptance/built.ts';

beforeAll(buildOnce);

const PARTS = 80;
const bytesOf = (text: string): number => Buffer.byteLength(text);
/** What stands for a picture: only its length counts here. */
const filler = (n: number): string => 'x'.repeat(Math.round(n));

/** A kit of boxes with pictures as large as `lookOf` lets them become, times `more`. */
function kitOf(
  more: number,
  sheetKB = 0,
): { model: Omit<PageModel, 'sheets' | 'leftOut'>; sheets: BenchSheet[] } {
  const { means, turned } = lookOf(PARTS, 1, true);
  const envelope = boxEnvelope(220, 220, 250);
  const one = (share: number) => ({ name: 'iso', width: 800, height: 800, pxPerMm: 1, marks: [], body: `<path d="${filler(means.bytes * share * more)}"/>` }); // prettier-ignore
  const mesh = boxMesh([40, 30, 20]);
  const read = { name: 'box', mesh, format: 'stl-binary', sourceUnit: 'mm', unitFrom: 'assumed', notes: [] }; // prettier-ignore
  const known = scanPart(read as never, 'box.stl', null, [envelope]);
  const scans = Array.from({ length: PARTS }, (_, i): ScanPart => ({
    ...known,
    file: `kit/box-${i}.stl`,
  }));
  const parts = scans.map((scan, i): PagePart => ({
    id: `p${i + 1}`, name: scan.file.slice(4), scan, group: null, role: null, quantity: 1, massG: 12, hours: { low: 1, likely: 2, high: 3 }, because: null, split: null, orient: null,
    pictures: {
      card: one(0.8), views: [one(1), one(0.35), one(0.35), one(0.35)].map((v, k) => ({ ...v, name: ['iso', 'front', 'right', 'top'][k] as string })),
      // What wants supports fits whole, and what fits whole is not pulled apart.
      supports: i % 2 ? one(0.7) : null, exploded: i % 2 ? null : { ...one(1), labels: [] }, inFigure: null, drawnFrom: null,
      // Bytes per triangle as `report-draw.ts` measured them.
      solid: { data: filler(turned * 6.5 * more), min: [0, 0, 0], step: 1, bodies: [{ vertices: 8, triangles: turned, away: [0, 0, 0] }], shown: turned, of: 200_000 },
    },
  })); // prettier-ignore
  const scan = scanOf(scans, { precision: 0.001, unit: 'mm', envelopes: [envelope], complete: true }); // prettier-ignore
  const sheets = Array.from({ length: sheetKB ? 10 : 0 }, (_, i): BenchSheet => ({ of: `p${i + 1}`, label: 'cut sheet', file: [{ name: `${i}.pdf`, data: Buffer.from(filler(sheetKB * 1000)) }] })); // prettier-ignore
  return {
    model: { title: 'Eighty boxes', date: '2026-01-02', version: '0', scan, parts, split: null, estimate: null, plan: null, figure: null, drawnFrom: 40_000, plates: new Map() },
    sheets,
  }; // prettier-ignore
}

const count = (page: string, what: RegExp): number => [...page.matchAll(what)].length;
const cards = /in its build envelope"/g;
/** What the page says that it had to do without. */
const leftOut = (page: string): string =>
  [...page.matchAll(/<p>([^<]*to keep the page below 5 MB[^<]*)<\/p>/g)].map((m) => m[1]).join(' ');
const turnable = /data-head=/g;

describe('a page of 80 parts', () => {
  it('keeps below 5 MB with every picture as large as it may be, and leaves nothing out', () => {
    const { model, sheets } = kitOf(1, 60);
    const page = pageWithin(model, sheets);
    expect(bytesOf(page)).toBeLessThanOrEqual(MOST_PAGE_BYTES);
    // Not for want of content: the pictures are there, and they weigh what they may.
    expect(bytesOf(page)).toBeGreaterThan(0.6 * MOST_PAGE_BYTES);
    expect([count(page, cards), count(page, turnable)]).toEqual([PARTS, PARTS]);
    expect(leftOut(page)).toBe('');
  });

  it.each([
    [1.2, 60, 'first of all some bodies that turn', /Left out to keep the page below 5 MB: \d+ parts cannot be turned around here\./],
    [1.7, 60, 'then all of them, and the sheets', /^10 of the sheets are not in this page.*80 parts cannot be turned around here\.$/],
    [4, 60, 'then side views and pictures of supports', /80 parts without the front, right and top view/],
  ])('keeps below 5 MB when everything comes out %d times as large: %s', (more, sheetKB, _, words) => {
    const { model, sheets } = kitOf(more, sheetKB);
    const unguarded = pageWithin(model, sheets, Infinity);
    expect(bytesOf(unguarded)).toBeGreaterThan(MOST_PAGE_BYTES);
    const page = pageWithin(model, sheets);
    expect(bytesOf(page)).toBeLessThanOrEqual(MOST_PAGE_BYTES);
    expect(leftOut(page)).toMatch(words);
    expect(count(page, cards)).toBe(PARTS);
    expect(count(page, /isometric view as modelled"/g)).toBe(PARTS);
  }); // prettier-ignore

  it('takes the largest bodies out first, and only as many as must go', () => {
    const { model } = kitOf(1);
    const parts = model.parts.map((part, i) =>
      i === 17 && part.pictures?.solid
        ? { ...part, pictures: { ...part.pictures, solid: { ...part.pictures.solid, data: filler(2_500_000) } } } // prettier-ignore
        : part,
    );
    const page = pageWithin({ ...model, parts }, []);
    expect(bytesOf(page)).toBeLessThanOrEqual(MOST_PAGE_BYTES);
    expect(count(page, turnable)).toBe(PARTS - 1);
    expect(page.includes('id="p18-t"')).toBe(false);
    expect(leftOut(page)).toContain('1 part cannot be turned around here');
  });
});
