import { counted } from './render/numbers.ts';
import type { PageModel, PagePart, SheetLink } from './render/page/model.ts';
import { reportPage } from './render/page/page.ts';
import { pageScripts } from './report-scripts.ts';
import type { BenchSheet } from './report-sheets.ts';

/** A page shall not be larger than this: it must open on a phone and go by mail. */
export const MOST_PAGE_BYTES = 5_000_000;
/** Sheets of all parts together that lie in the page; the rest is left to `--sheets`. */
const SHEET_BYTES = 900_000;

type Pictures = NonNullable<PagePart['pictures']>;

/** What a page can do without, the least missed first. */
const SPARE: readonly {
  readonly bytes: (p: Pictures) => number;
  readonly without: (p: Pictures) => Pictures;
  readonly words: (parts: string) => string;
}[] = [
  {
    bytes: (p) => p.solid?.data.length ?? 0,
    without: (p) => ({ ...p, solid: null }),
    words: (parts) => `${parts} cannot be turned around here`,
  },
  {
    bytes: (p) => p.views.slice(1).reduce((sum, v) => sum + v.body.length, 0),
    without: (p) => ({ ...p, views: p.views.slice(0, 1) }),
    words: (parts) => `${parts} without the front, right and top view`,
  },
  {
    bytes: (p) => p.supports?.body.length ?? 0,
    without: (p) => ({ ...p, supports: null }),
    words: (parts) => `${parts} without a picture of the supports`,
  },
  {
    bytes: (p) => p.exploded?.body.length ?? 0,
    without: (p) => ({ ...p, exploded: null }),
    words: (parts) => `${parts} without a picture of the pieces pulled apart`,
  },
];

/**
 * The page within its size. Pictures and bodies were made for the number of parts already; should
 * the rest of the page be larger than usual, it does without bodies that can be turned, then
 * without the sheets, then without ever more pictures, always the largest first, and says so.
 * Pictures in the build envelope, tables and words stay: of a thousand parts the page may be larger.
 */
export function pageWithin(
  model: Omit<PageModel, 'sheets' | 'leftOut'>,
  made: readonly BenchSheet[],
  most = MOST_PAGE_BYTES,
): string {
  const scripts = pageScripts();
  const { links, leftOut } = linksOf(made);
  const limit = `to keep the page below ${most / 1e6} MB`;
  const sheetWords = (n: number): string =>
    `${n} of the sheets are not in this page, ${limit}: \`scantling report --sheets DIR\` writes them all.`;
  let parts = model.parts;
  let sheets: PageModel['sheets'] = links;
  let missing = leftOut;
  const pictures: string[] = [];
  const page = (): string => {
    const words = [...(missing ? [sheetWords(missing)] : []), ...(pictures.length ? [`Left out ${limit}: ${pictures.join('; ')}.`] : [])]; // prettier-ignore
    return reportPage({ ...model, parts, sheets, leftOut: words }, scripts);
  };
  let whole = page();
  for (const [step, { bytes, without, words }] of SPARE.entries()) {
    // A little more than needed: the words about it want room as well.
    let over = Buffer.byteLength(whole) - most;
    if (over <= 0) return whole;
    over += 1000;
    const size = (part: PagePart): number => (part.pictures ? bytes(part.pictures) : 0);
    const gone = new Set<PagePart>();
    for (const part of [...parts].sort((a, b) => size(b) - size(a))) {
      if (over <= 0 || size(part) === 0) break;
      gone.add(part);
      over -= size(part);
    }
    parts = parts.map((part) =>
      gone.has(part) && part.pictures ? { ...part, pictures: without(part.pictures) } : part,
    );
    if (gone.size) pictures.push(words(counted(gone.size, 'part')));
    whole = page();
    if (step > 0 || Buffer.byteLength(whole) <= most) continue;
    missing += [...sheets.values()].flat().length;
    sheets = new Map();
    whole = page();
  }
  return whole;
}

/** PDF sheets as links, the kit's first, as many as there is room for. */
function linksOf(made: readonly BenchSheet[]): {
  links: Map<string, SheetLink[]>;
  leftOut: number;
} {
  const links = new Map<string, SheetLink[]>();
  let left = SHEET_BYTES;
  let leftOut = 0;
  const inOrder = [...made].sort((a, b) => Number(b.of === 'kit') - Number(a.of === 'kit'));
  for (const { of, label, file } of inOrder)
    for (const { name, data } of file) {
      if (typeof data === 'string') continue;
      const base64 = Buffer.from(data).toString('base64');
      if (base64.length > left) {
        leftOut++;
        continue;
      }
      left -= base64.length;
      links.set(of, [...(links.get(of) ?? []), { name, label, mime: 'application/pdf', base64, bytes: data.length }]); // prettier-ignore
    }
  return { links, leftOut };
}
