import type { PageModel, PagePart, SheetLink } from './render/page/model.ts';
import { reportPage } from './render/page/page.ts';
import { pageScripts } from './report-scripts.ts';
import type { BenchSheet } from './report-sheets.ts';

/** A page is never larger than this: it must open on a phone and go by mail. */
export const MOST_PAGE_BYTES = 5_000_000;
/** Sheets of all parts together that lie in the page; the rest is left to `--sheets`. */
const SHEET_BYTES = 900_000;

/**
 * The page within its size. Pictures and bodies were made for the number of parts already; should
 * the rest of the page be larger than usual, bodies that can be turned go first, the largest of
 * them first, then the sheets, and the page says so.
 */
export function pageWithin(
  model: Omit<PageModel, 'sheets' | 'leftOut'>,
  made: readonly BenchSheet[],
  most = MOST_PAGE_BYTES,
): string {
  const scripts = pageScripts();
  const { links, leftOut } = linksOf(made);
  const page = (parts: readonly PagePart[], sheets: PageModel['sheets'], words: readonly string[]): string =>
    reportPage({ ...model, parts, sheets, leftOut: words }, scripts); // prettier-ignore
  const words = leftOut ? [`${leftOut} of the sheets are not in this page, to keep it small: \`scantling report --sheets DIR\` writes them all.`] : []; // prettier-ignore
  const whole = page(model.parts, links, words);
  let over = Buffer.byteLength(whole) - most;
  if (over <= 0) return whole;

  // A little more than needed: the words about it want room as well.
  over += 1000;
  const size = (part: PagePart): number => part.pictures?.solid?.data.length ?? 0;
  const without = new Set<PagePart>();
  for (const part of [...model.parts].sort((a, b) => size(b) - size(a))) {
    if (over <= 0 || size(part) === 0) break;
    without.add(part);
    over -= size(part);
  }
  const said = [...words, `${without.size} parts cannot be turned around here: the page would be larger than ${most / 1e6} MB.`]; // prettier-ignore
  const parts = model.parts.map((part) =>
    without.has(part) && part.pictures
      ? { ...part, pictures: { ...part.pictures, solid: null } }
      : part,
  );
  if (over <= 0) return page(parts, links, said);
  return page(parts, new Map(), [...said, 'The sheets are left out as well: `scantling report --sheets DIR` writes them.']); // prettier-ignore
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
