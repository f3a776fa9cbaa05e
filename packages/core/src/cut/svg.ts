import type { Sheet } from './drawing.ts';

/** A sheet as SVG at its true size: one user unit is one millimetre. */
export function sheetSvg(sheet: Sheet): string {
  const { widthMm: w, heightMm: h } = sheet;
  const body: string[] = [];
  sheet.layers.forEach(({ drawing, dx, dy, window }, i) => {
    if (window)
      body.push(
        `<clipPath id="w${i}"><rect x="${n(window.x)}" y="${n(h - window.y - window.heightMm)}" width="${n(window.widthMm)}" height="${n(window.heightMm)}"/></clipPath>`,
      );
    body.push(window ? `<g clip-path="url(#w${i})">` : '<g>');
    for (const stroke of drawing.strokes) {
      const points: string[] = [];
      for (let k = 0; k < stroke.points.length; k += 2)
        points.push(
          `${n((stroke.points[k] as number) + dx)},${n(h - (stroke.points[k + 1] as number) - dy)}`,
        );
      body.push(
        `<poly${stroke.closed ? 'gon' : 'line'} points="${points.join(' ')}" stroke-width="${n(stroke.widthMm)}"/>`,
      );
    }
    for (const c of drawing.circles)
      body.push(
        `<circle cx="${n(c.x + dx)}" cy="${n(h - c.y - dy)}" r="${n(c.r)}" stroke-width="${n(c.widthMm)}"/>`,
      );
    body.push('</g>');
  });
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${n(w)}mm" height="${n(h)}mm" viewBox="0 0 ${n(w)} ${n(h)}" role="img" aria-label="${escape(sheet.title)}">`,
    `<title>${escape(sheet.title)}</title>`,
    '<g fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round">',
    ...body,
    '</g>',
    '</svg>',
    '',
  ].join('\n');
}

const n = (x: number): string => (Math.round(x * 1e4) / 1e4).toString();

const ESCAPES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
};
const escape = (text: string): string => text.replace(/[&<>"]/g, (c) => ESCAPES[c] ?? c);
