import { radians } from '../units.ts';
import type { Joint } from '../join/index.ts';
import { checkBar, CHECK_BAR_MM, lettering, segment, LETTER_ADVANCE } from './drawing.ts';
import type { Drawing, Layer, Sheet, Stroke } from './drawing.ts';
import { placeLabels, type Hole } from './labels.ts';
import { markText, type Side } from './tools.ts';

/** ISO 216 A4, mm. */
export const A4_MM = { width: 210, height: 297 } as const;
/** ANSI/ASME Y14.1 size A, 8.5 x 11 in, mm. */
export const LETTER_MM = { width: 215.9, height: 279.4 } as const;
export type Paper = typeof A4_MM | typeof LETTER_MM;
/** Printers leave about this much blank, mm (common practice, no source). */
const MARGIN_MM = 10;
/** Head of a page with names and the check bar, mm. */
const HEAD_MM = 18;
/** Neighbouring pages show this much of each other, to be pasted over each other, mm. */
const OVERLAP_MM = 10;

/** Height of the letters beside a hole, mm. */
const LABEL_MM = 2;

/** The drilling template of one side of a joint with its labels, from its bottom left corner. */
export interface Template {
  readonly joint: string;
  readonly side: Side;
  readonly piece: string;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly drawing: Drawing;
}

/**
 * 1:1 template of a cut face as one sees it on the piece: outline of the section, every hole as a
 * circle of the drill's diameter with its centre, diameter and depth. The face is turned so that
 * its longest region lies across the sheet.
 */
export function drillTemplate(joint: Joint, side: Side): Template {
  const largest = joint.regions.reduce((a, b) => (b.areaMm2 > a.areaMm2 ? b : a));
  const turn = -radians(largest.principalAngleDeg);
  const c = Math.cos(turn);
  const s = Math.sin(turn);
  const mirror = side === 'below' ? 1 : -1;
  const place = (x: number, y: number): [number, number] => [
    mirror * (c * x - s * y),
    s * x + c * y,
  ];
  const loops = joint.loopsMm.map((loop) => {
    const out: number[] = [];
    for (let i = 0; i < loop.length; i += 2)
      out.push(...place(loop[i] as number, loop[i + 1] as number));
    return out;
  });
  const face = paperBounds(loops);
  const outline = loops.map((loop): Stroke => ({ points: moved(loop, face), closed: true, widthMm: 0.25 })); // prettier-ignore
  const strokes = [...outline];
  const circles: Drawing['circles'][number][] = [];
  const holes: Hole[] = [];
  for (const dowel of joint.regions.flatMap((r) => r.dowels)) {
    const [px, py] = place(...dowel.faceMm);
    const [x, y, r] = [px - face.x0, py - face.y0, dowel.holeDiameterMm / 2];
    const depth = side === 'below' ? dowel.depthBelowMm : dowel.depthAboveMm;
    circles.push({ x, y, r, widthMm: 0.2 });
    strokes.push(
      segment(x - r - 2, y, x + r + 2, y, 0.1),
      segment(x, y - r - 2, x, y + r + 2, 0.1),
    );
    holes.push({ x, y, r, label: `${plain(dowel.holeDiameterMm)} / ${plain(depth)}` });
  }
  const labels = placeLabels(holes, outline, face.x1 - face.x0, face.y1 - face.y0, LABEL_MM);
  for (const { text, x, y } of labels) strokes.push(...lettering(text, x, y, LABEL_MM));
  // A label beside a thin face stands over its edge.
  const all = paperBounds(strokes.map((s) => s.points));
  return {
    joint: joint.id,
    side,
    piece: side === 'below' ? joint.below : joint.above,
    widthMm: all.x1 - all.x0,
    heightMm: all.y1 - all.y0,
    drawing: {
      strokes: strokes.map((s) => ({ ...s, points: moved(s.points, all) })),
      circles: circles.map((c) => ({ ...c, x: c.x - all.x0, y: c.y - all.y0 })),
    },
  };
}

/** Bounds of polylines on paper, mm; flat x, y. */
function paperBounds(lines: readonly (readonly number[])[]) {
  let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity; // prettier-ignore
  for (const line of lines)
    line.forEach((v, i) => {
      if (i % 2 === 0) [x0, x1] = [Math.min(x0, v), Math.max(x1, v)];
      else [y0, y1] = [Math.min(y0, v), Math.max(y1, v)];
    });
  return { x0, y0, x1, y1 };
}

/** A polyline counted from the corner of bounds. */
const moved = (line: readonly number[], { x0, y0 }: { x0: number; y0: number }): number[] =>
  line.map((v, i) => v - (i % 2 === 0 ? x0 : y0));

const plain = (x: number): string => (Math.round(x * 100) / 100).toString();

const HINT = 'HOLE / DEPTH IN MM - PRINT AT 100 PERCENT';

const headOf = (template: Template, joint: Joint, part: string, page: string): string =>
  `${part} PIECE ${template.piece} FACE ${markText(joint, template.side)}${page}`;

/** One sheet of whatever size the face needs, for SVG. */
export function templateSheet(template: Template, joint: Joint, part: string): Sheet {
  const widthMm = Math.max(template.widthMm, CHECK_BAR_MM) + 2 * MARGIN_MM;
  const heightMm = template.heightMm + HEAD_MM + 2 * MARGIN_MM;
  const title = headOf(template, joint, part, '');
  return {
    title,
    widthMm,
    heightMm,
    layers: [
      { drawing: template.drawing, dx: MARGIN_MM, dy: MARGIN_MM },
      head(title, widthMm, heightMm),
    ],
  };
}

/**
 * The template on pages, upright or lying, whichever takes fewer: at true size, on several
 * pages with an overlap and the joins marked when it is larger than one.
 */
export function templatePages(
  template: Template,
  joint: Joint,
  part: string,
  size: Paper = A4_MM,
): Sheet[] {
  const layouts = [
    { width: size.width as number, height: size.height as number },
    { width: size.height as number, height: size.width as number },
  ].map((paper) => {
    const w = paper.width - 2 * MARGIN_MM;
    const h = paper.height - 2 * MARGIN_MM - HEAD_MM;
    const columns = tiles(template.widthMm, w);
    const rows = tiles(template.heightMm, h);
    return { paper, w, h, columns, rows };
  });
  const [upright, lying] = layouts as [(typeof layouts)[0], (typeof layouts)[0]];
  const { paper, w, h, columns, rows } =
    lying.columns * lying.rows < upright.columns * upright.rows ? lying : upright;
  const pages: Sheet[] = [];
  for (let row = 0; row < rows; row++)
    for (let column = 0; column < columns; column++) {
      const many = rows * columns > 1;
      const title = headOf(template, joint, part, many ? ` SHEET ${row + 1}-${column + 1}` : '');
      const window = { x: MARGIN_MM, y: MARGIN_MM, widthMm: w, heightMm: h };
      const body: Layer = {
        drawing: template.drawing,
        dx: MARGIN_MM - column * (w - OVERLAP_MM),
        dy: MARGIN_MM - row * (h - OVERLAP_MM),
        window,
      };
      const layers = [body, head(title, paper.width, paper.height)];
      if (many) layers.push({ drawing: joins(w, h, row, column, rows, columns), dx: 0, dy: 0 });
      pages.push({ title, widthMm: paper.width, heightMm: paper.height, layers });
    }
  return pages;
}

/** Pages needed for a length, each showing `room` and sharing the overlap with the next. */
const tiles = (length: number, room: number): number =>
  length <= room ? 1 : Math.ceil((length - OVERLAP_MM) / (room - OVERLAP_MM));

function head(title: string, widthMm: number, heightMm: number): Layer {
  const top = heightMm - MARGIN_MM;
  // Long names shrink to the sheet.
  const room = widthMm - 2 * MARGIN_MM;
  const letter = Math.min(4, room / (LETTER_ADVANCE * title.length));
  const hint = Math.min(2, room / (LETTER_ADVANCE * HINT.length));
  return {
    drawing: {
      strokes: [
        ...lettering(title, MARGIN_MM, top - 4, letter),
        ...checkBar(MARGIN_MM, top - 11),
        ...lettering(HINT, MARGIN_MM, top - 16, hint),
      ],
      circles: [],
    },
    dx: 0,
    dy: 0,
  };
}

/** Ticks at the middle of each overlap: lay tick on tick and the drawing goes on. */
function joins(
  w: number,
  h: number,
  row: number,
  column: number,
  rows: number,
  columns: number,
): Drawing {
  const strokes: Stroke[] = [];
  const half = OVERLAP_MM / 2;
  const across = (x: number): void => {
    for (const y of [MARGIN_MM, MARGIN_MM + h - 6]) strokes.push(segment(x, y, x, y + 6, 0.15));
  };
  const up = (y: number): void => {
    for (const x of [MARGIN_MM, MARGIN_MM + w - 6]) strokes.push(segment(x, y, x + 6, y, 0.15));
  };
  if (column > 0) across(MARGIN_MM + half);
  if (column + 1 < columns) across(MARGIN_MM + w - half);
  if (row > 0) up(MARGIN_MM + half);
  if (row + 1 < rows) up(MARGIN_MM + h - half);
  return { strokes, circles: [] };
}
