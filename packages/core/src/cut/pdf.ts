import type { PDFOperator } from '@cantoo/pdf-lib';
import type { Sheet } from './drawing.ts';

/** PDF's unit is 1/72 in by default (ISO 32000-1, 8.3.2.3); 1 in = 25.4 mm. */
export const POINTS_PER_MM = 72 / 25.4;

/** Control points of a quarter circle by a cubic curve: 4/3 (sqrt 2 - 1), 0.03 % off at most. */
const QUARTER = (4 / 3) * (Math.SQRT2 - 1);

/**
 * Sheets as pages of a PDF at true size. Each page sets one scale, so that all numbers in its
 * stream are millimetres. The same input gives the same bytes: no dates are written.
 */
export async function sheetsPdf(sheets: readonly Sheet[], title: string): Promise<Uint8Array> {
  const pdf = await import('@cantoo/pdf-lib');
  const document = await pdf.PDFDocument.create({ updateMetadata: false });
  document.setTitle(title);
  for (const sheet of sheets) {
    const page = document.addPage([sheet.widthMm * POINTS_PER_MM, sheet.heightMm * POINTS_PER_MM]);
    const ops: PDFOperator[] = [
      pdf.pushGraphicsState(),
      pdf.concatTransformationMatrix(POINTS_PER_MM, 0, 0, POINTS_PER_MM, 0, 0),
      pdf.setLineCap(1),
      pdf.setLineJoin(1),
    ];
    for (const { drawing, dx, dy, window } of sheet.layers) {
      ops.push(pdf.pushGraphicsState());
      if (window)
        ops.push(
          pdf.rectangle(window.x, window.y, window.widthMm, window.heightMm),
          pdf.clip(),
          pdf.endPath(),
        );
      for (const stroke of drawing.strokes) {
        ops.push(pdf.setLineWidth(stroke.widthMm));
        for (let k = 0; k < stroke.points.length; k += 2) {
          const x = (stroke.points[k] as number) + dx;
          const y = (stroke.points[k + 1] as number) + dy;
          ops.push(k === 0 ? pdf.moveTo(x, y) : pdf.lineTo(x, y));
        }
        if (stroke.closed) ops.push(pdf.closePath());
        ops.push(pdf.stroke());
      }
      for (const c of drawing.circles) {
        const [x, y, r, q] = [c.x + dx, c.y + dy, c.r, QUARTER * c.r];
        ops.push(
          pdf.setLineWidth(c.widthMm),
          pdf.moveTo(x + r, y),
          pdf.appendBezierCurve(x + r, y + q, x + q, y + r, x, y + r),
          pdf.appendBezierCurve(x - q, y + r, x - r, y + q, x - r, y),
          pdf.appendBezierCurve(x - r, y - q, x - q, y - r, x, y - r),
          pdf.appendBezierCurve(x + q, y - r, x + r, y - q, x + r, y),
          pdf.closePath(),
          pdf.stroke(),
        );
      }
      ops.push(pdf.popGraphicsState());
    }
    ops.push(pdf.popGraphicsState());
    page.pushOperators(...ops);
  }
  return document.save({ useObjectStreams: false, addDefaultPage: false });
}
