import type { LineKind, ViewDrawing } from './draw-view.ts';
import { base64 } from './png.ts';
import type { Wash } from './tone.ts';

export interface SvgOptions {
  /** Pixels per mm of the drawn thing. */
  readonly pxPerMm: number;
  /** Width of a wide line, px; narrow lines are half as wide (ISO 128: 2 to 1). Default 1.4. */
  readonly linePx?: number;
  /** Blank all round, px. Default 2 line widths. */
  readonly marginPx?: number;
  readonly wash?: Wash | undefined;
  readonly title?: string | undefined;
  /** Colour of the lines. Default `currentColor`, so that a page can decide. */
  readonly ink?: string;
  /** Colour behind the drawing. Default: none. */
  readonly paper?: string;
}

/** Dashes in widths of a narrow line, after ISO 128-20 (from memory): dash 12, long dash 24, gap 3. */
const TYPES: Readonly<Record<LineKind, { wide: boolean; dashes: readonly number[] }>> = {
  visible: { wide: true, dashes: [] },
  hidden: { wide: false, dashes: [6, 3] },
  centre: { wide: false, dashes: [24, 3, 0.5, 3] },
  cutting: { wide: true, dashes: [12, 2, 0.5, 2] },
  neighbour: { wide: false, dashes: [18, 3, 0.5, 3, 0.5, 3] },
};
/** What is drawn first lies lowest. */
const ORDER: readonly LineKind[] = ['neighbour', 'hidden', 'centre', 'visible', 'cutting'];
/** Coordinates are whole numbers of this many to the pixel: short and exact enough to look at. */
const FINE = 8;

/**
 * A view as SVG. The same drawing gives the same text. Classes `l-visible`, `l-hidden` ... let a
 * page style the lines; widths and dashes are set here, so that the file stands by itself.
 */
export function viewSvg(drawing: ViewDrawing, options: SvgOptions): string {
  const { pxPerMm, ink = 'currentColor' } = options;
  const { width, height, body } = viewBody(drawing, options);
  const title = options.title ? `<title>${escape(options.title)}</title>` : '';
  const label = options.title ? ` role="img" aria-label="${escape(options.title)}"` : '';
  const paper = options.paper ? `<rect width="100%" height="100%" fill="${options.paper}"/>` : '';
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width / FINE}" height="${height / FINE}" viewBox="0 0 ${width} ${height}" data-px-per-mm="${short(pxPerMm)}"${label}>`,
    title,
    paper,
    `<g fill="none" stroke="${ink}" stroke-linecap="round" stroke-linejoin="round">`,
    body,
    '</g></svg>\n',
  ].join('');
}

/** Inner marks of a view and its size in units of the view box, 8 to the pixel. */
export function viewBody(
  drawing: ViewDrawing,
  options: SvgOptions,
): { readonly width: number; readonly height: number; readonly body: string } {
  const { pxPerMm, linePx = 1.4, wash } = options;
  const margin = Math.round((options.marginPx ?? 2 * linePx) * FINE);
  const k = pxPerMm * FINE;
  const [x0, y0] = drawing.minMm;
  const y1 = drawing.maxMm[1];
  const width = Math.ceil((drawing.maxMm[0] - x0) * k) + 2 * margin;
  const height = Math.ceil((y1 - y0) * k) + 2 * margin;
  const atX = (x: number): number => Math.round((x - x0) * k) + margin;
  const atY = (y: number): number => Math.round((y1 - y) * k) + margin;
  const parts: string[] = [];
  if (wash) {
    const [x, y] = [atX(wash.xMm), atY(wash.yMm + wash.heightMm)];
    parts.push(
      `<image class="wash" x="${x}" y="${y}" width="${Math.round(wash.widthMm * k)}" height="${Math.round(wash.heightMm * k)}" preserveAspectRatio="none" href="data:image/png;base64,${base64(wash.png)}"/>`,
    );
  }
  for (const kind of ORDER) {
    const lines = drawing.lines.filter((line) => line.kind === kind);
    if (!lines.length) continue;
    const { wide, dashes } = TYPES[kind];
    const w = linePx * FINE * (wide ? 1 : 0.5);
    const dash = dashes.length ? ` stroke-dasharray="${dashes.map((d) => short((d * linePx * FINE) / 4)).join(' ')}"` : ''; // prettier-ignore
    const d = lines.map((line) => pathOf(line.points, atX, atY)).join('');
    parts.push(`<path class="l-${kind}" stroke-width="${short(w)}"${dash} d="${d}"/>`);
  }
  return { width, height, body: parts.join('') };
}

/** Relative steps in whole units; steps that round to nothing are left out. */
function pathOf(points: readonly number[], atX: (x: number) => number, atY: (y: number) => number): string {
  let x = atX(points[0] as number);
  let y = atY(points[1] as number);
  let d = `M${x} ${y}`;
  let first = true;
  for (let i = 2; i < points.length; i += 2) {
    const dx = atX(points[i] as number) - x;
    const dy = atY(points[i + 1] as number) - y;
    if (dx === 0 && dy === 0 && !(first && i + 2 >= points.length)) continue;
    d += `${first ? 'l' : dx < 0 ? '' : ' '}${dx}${dy < 0 ? '' : ' '}${dy}`;
    first = false;
    x += dx;
    y += dy;
  }
  return d;
} // prettier-ignore

const short = (x: number): string => (Math.round(x * 1000) / 1000).toString();

const ESCAPES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
};
const escape = (text: string): string => text.replace(/[&<>"]/g, (c) => ESCAPES[c] ?? c);
