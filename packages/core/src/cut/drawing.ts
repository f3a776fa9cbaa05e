import { strokeText, textWidth } from './strokes.ts';

/** Lines on paper, all in mm, x to the right and y up, at their true size. */
export interface Drawing {
  readonly strokes: readonly Stroke[];
  readonly circles: readonly Circle[];
}

export interface Stroke {
  /** Flat x, y. */
  readonly points: readonly number[];
  readonly closed: boolean;
  readonly widthMm: number;
}

export interface Circle {
  readonly x: number;
  readonly y: number;
  readonly r: number;
  readonly widthMm: number;
}

export interface Window {
  readonly x: number;
  readonly y: number;
  readonly widthMm: number;
  readonly heightMm: number;
}

/** A drawing moved by dx, dy onto a sheet, seen through a window of the sheet. */
export interface Layer {
  readonly drawing: Drawing;
  readonly dx: number;
  readonly dy: number;
  readonly window?: Window;
}

/** One page; origin bottom left. */
export interface Sheet {
  readonly title: string;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly layers: readonly Layer[];
}

/** Letters of the drawing's own font, left-aligned at x on the base line y. */
export function lettering(text: string, x: number, y: number, heightMm: number): Stroke[] {
  const lines = strokeText(text, heightMm, LETTER_ADVANCE);
  const width = textWidth(text, heightMm, LETTER_ADVANCE);
  return lines.map((line) => ({
    points: line.map((v, k) => (k % 2 === 0 ? v + x + width / 2 : v + y + heightMm / 2)),
    closed: false,
    widthMm: heightMm / 12,
  }));
}

export const LETTER_ADVANCE = 0.85;

export const segment = (x0: number, y0: number, x1: number, y1: number, widthMm = 0.2): Stroke => ({
  points: [x0, y0, x1, y1],
  closed: false,
  widthMm,
});

/** Length of the bar that a print is checked against, mm. */
export const CHECK_BAR_MM = 100;

/** A bar of exactly 100 mm between the outer edges of its end ticks' middles, with its legend. */
export function checkBar(x: number, y: number): Stroke[] {
  const end = x + CHECK_BAR_MM;
  return [
    segment(x, y, end, y, 0.3),
    segment(x, y - 2, x, y + 2),
    segment(end, y - 2, end, y + 2),
    segment(x + CHECK_BAR_MM / 2, y - 1, x + CHECK_BAR_MM / 2, y + 1),
    ...lettering(`CHECK ${CHECK_BAR_MM} MM`, x + 2, y + 1.5, 2.5),
  ];
}
