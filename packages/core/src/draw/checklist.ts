import {
  A4_MM,
  checkBar,
  LETTER_ADVANCE,
  lettering,
  segment,
  type Paper,
  type Sheet,
  type Stroke,
} from '../cut/index.ts';

export interface ChecklistSection {
  readonly head: string;
  readonly lines: readonly {
    /** A box to tick before the text. */
    readonly tick: boolean;
    /** Signs of the drawings' own font; all are of one width, so that spaces line up columns. */
    readonly text: string;
  }[];
}

const MARGIN_MM = 12;
const LETTER_MM_HIGH = 2.4;
const HEAD_MM_HIGH = 3;
const LINE_MM = 6;
const BOX_MM = 3.6;
/** Text begins here, right of the tick boxes. */
const TEXT_MM = MARGIN_MM + 7;
/** Above the first line: title and check bar. */
const TOP_MM = 24;

/** Signs that fit in a line of this paper. */
export const checklistColumns = (paper: Paper): number =>
  Math.floor((paper.width - TEXT_MM - MARGIN_MM) / (LETTER_ADVANCE * LETTER_MM_HIGH));

/**
 * Lists with tick boxes on pages at 1:1, with a bar to check the scale of the print by. Long lines
 * go on below, indented; a head never stands alone at the foot of a page.
 */
export function checklistSheets(
  title: string,
  sections: readonly ChecklistSection[],
  paper: Paper = A4_MM,
): Sheet[] {
  const columns = checklistColumns(paper);
  const headColumns = Math.floor((paper.width - 2 * MARGIN_MM) / (LETTER_ADVANCE * HEAD_MM_HIGH));
  const rows = sections.flatMap(({ head, lines }) => [
    ...wrapped(head, headColumns).map((text, i, all) => ({
      kind: 'head' as const,
      text,
      // All of it, with two lines under it.
      needs: i === 0 ? all.length + 2 : 1,
    })),
    ...lines.flatMap(({ tick, text }) =>
      wrapped(text, columns).map((part, i) => ({
        kind: tick && i === 0 ? ('tick' as const) : ('text' as const),
        text: part,
        needs: 1,
      })),
    ),
  ]);
  const perPage = Math.floor((paper.height - 2 * MARGIN_MM - TOP_MM) / LINE_MM);
  const pages: (typeof rows)[] = [[]];
  for (const row of rows) {
    const page = pages.at(-1) as typeof rows;
    if (perPage - page.length < row.needs) pages.push([row]);
    else page.push(row);
  }
  return pages.map((page, i) => {
    const name = pages.length > 1 ? `${title} - ${i + 1}/${pages.length}` : title;
    const top = paper.height - MARGIN_MM;
    const letter = Math.min(4, (paper.width - 2 * MARGIN_MM) / (LETTER_ADVANCE * name.length));
    const strokes: Stroke[] = [...lettering(name, MARGIN_MM, top - 4, letter), ...checkBar(MARGIN_MM, top - 13)]; // prettier-ignore
    page.forEach((row, k) => {
      const y = top - TOP_MM - k * LINE_MM;
      if (row.kind === 'head') {
        strokes.push(...lettering(row.text, MARGIN_MM, y, HEAD_MM_HIGH));
        if (page[k + 1]?.kind !== 'head')
          strokes.push(segment(MARGIN_MM, y - 1.6, paper.width - MARGIN_MM, y - 1.6, 0.3));
        return;
      }
      if (row.kind === 'tick') strokes.push(box(MARGIN_MM, y - 0.6));
      strokes.push(...lettering(row.text, TEXT_MM, y, LETTER_MM_HIGH));
    });
    const layers = [{ drawing: { strokes, circles: [] }, dx: 0, dy: 0 }];
    return { title: name, widthMm: paper.width, heightMm: paper.height, layers };
  });
}

const box = (x: number, y: number): Stroke => ({
  points: [x, y, x + BOX_MM, y, x + BOX_MM, y + BOX_MM, x, y + BOX_MM],
  closed: true,
  widthMm: 0.3,
});

/** Breaks at spaces; what goes on below is set in by two. */
function wrapped(text: string, columns: number): string[] {
  const out: string[] = [];
  let rest = text;
  while (rest.length > columns) {
    const at = rest.lastIndexOf(' ', columns);
    const cut = at > columns / 3 ? at : columns;
    out.push(rest.slice(0, cut).trimEnd());
    rest = `  ${rest.slice(cut).trimStart()}`;
  }
  return [...out, rest];
}
