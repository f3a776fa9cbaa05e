import { inflateSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { A4_MM, LETTER_MM, sheetsPdf, sheetSvg } from '../../src/cut/index.ts';
import { checklistColumns, checklistSheets } from '../../src/draw/index.ts';

const lines = Array.from({ length: 90 }, (_, i) => ({ tick: true, text: `piece ${i + 1}` }));

/** Page contents of a PDF, as ISO 32000-1 lays them down: streams, deflated or plain. */
function streams(pdf: Uint8Array): string[] {
  const raw = Buffer.from(pdf);
  const text = raw.toString('latin1');
  return [...text.matchAll(/stream\r?\n/g)].flatMap((m) => {
    const from = (m.index ?? 0) + m[0].length;
    const body = raw.subarray(from, text.indexOf('endstream', from));
    try {
      return [inflateSync(body).toString('latin1')];
    } catch {
      return [body.toString('latin1')];
    }
  });
}

describe('lists with tick boxes', () => {
  it.each([A4_MM, LETTER_MM])('keep to the paper, page after page, each line once: %o', (paper) => {
    const sheets = checklistSheets('KIT', [{ head: 'all', lines }], paper);
    expect(sheets.length).toBeGreaterThan(1);
    let boxes = 0;
    for (const sheet of sheets) {
      expect([sheet.widthMm, sheet.heightMm]).toEqual([paper.width, paper.height]);
      for (const { points, closed } of sheet.layers[0]?.drawing.strokes ?? []) {
        if (closed) boxes++;
        points.forEach((v, i) => {
          expect(v).toBeGreaterThan(5);
          expect(v).toBeLessThan((i % 2 === 0 ? paper.width : paper.height) - 5);
        });
      }
    }
    expect(boxes).toBe(90);
  });

  it('carry a check bar of 100 mm in the numbers of the PDF itself', async () => {
    const pdf = await sheetsPdf(checklistSheets('KIT', [{ head: 'all', lines }]), 'KIT');
    const page = streams(pdf).find((s) => /\d cm\b/.test(s)) ?? '';
    // One point is 1/72 in, 1 in = 25.4 mm (ISO 32000-1, 8.3.2.3).
    const scale = Number(/([\d.]+) 0 0 [\d.]+ 0 0 cm/.exec(page)?.[1]);
    const bar = [...page.matchAll(/([\d.]+) ([\d.]+) m\s+([\d.]+) \2 l/g)]
      .map((m) => (Number(m[3]) - Number(m[1])) * scale)
      .map((points) => (points / 72) * 25.4);
    expect(bar.filter((mm) => Math.abs(mm - 100) < 1e-6)).toHaveLength(1);
  });

  it('keep a head of two lines together, with what it stands over', () => {
    const head = 'a head much too long for one line of the paper that goes on and on and on below';
    for (let n = 30; n <= 40; n++) {
      const text = lines.slice(0, n);
      const sheets = checklistSheets('KIT', [
        { head: 'all', lines: text },
        { head, lines: text },
      ]);
      // A head's rule is the only level stroke from margin to margin; 12 mm is the margin.
      const rules = sheets.map((s) => (s.layers[0]?.drawing.strokes ?? []).filter(({ points: p }) => p.length === 4 && p[0] === 12 && p[2] === 198).map(({ points }) => points[1] as number)); // prettier-ignore
      const lowest = Math.min(...rules.flat());
      // Two lines of 6 mm stand below it, above the margin.
      expect(lowest).toBeGreaterThan(12 + 6 * 2);
      expect(rules.flat()).toHaveLength(2);
      // On a page of its own the rule lies under the second line: one line lower than under one.
      if (rules[1]?.length) expect(rules[1][0]).toBeCloseTo((rules[0]?.[0] ?? NaN) - 6, 6);
    }
  });

  it('break long lines at spaces and lose no word', () => {
    const words = Array.from({ length: 60 }, (_, i) => `W${i}`).join(' ');
    const one = checklistSheets('KIT', [{ head: 'h', lines: [{ tick: true, text: words }] }]);
    expect(words.length).toBeGreaterThan(checklistColumns(A4_MM));
    expect(sheetSvg(one[0] as (typeof one)[0])).toContain('width="210mm"');
    const ticks = one[0]?.layers[0]?.drawing.strokes.filter((s) => s.closed).length;
    expect(ticks).toBe(1);
  });
});
