import { describe, expect, it } from 'vitest';
import { A4_MM, drillTemplate, drillTemplates, LETTER_MM, planJoints, templatePages } from '../../src/cut/index.ts'; // prettier-ignore
import { boxEnvelope } from '../../src/envelope/index.ts';
import { JOIN_DEFAULTS, type Joint } from '../../src/join/index.ts';
import { boxMesh } from '../../src/mesh/index.ts';
import { proposeSplit } from '../../src/split/index.ts';
import { pdfPages, type PdfPage, type PdfPath } from './pdf-numbers.ts';

/** A point is 1/72 in (ISO 32000-1, 8.3.2.3), an inch 25.4 mm: 100 mm are 283.4646 points. */
const MM = 72 / 25.4;
const BAR_PT = 283.4646;

const plan = proposeSplit(boxMesh([100, 500, 350]), [boxEnvelope(600, 600, 600)], {
  part: 'wall',
  planes: [{ normal: [1, 0, 0], offsetMm: 50 }],
}).plans[0];
if (!plan) throw new Error('no plan');
const [joint] = (await planJoints(boxMesh([100, 500, 350]), plan, JOIN_DEFAULTS)) as [Joint];

const straight = (p: PdfPath): boolean => p.points.length === 2 && !p.closed && !p.curved;
const lengthOf = ({ points: [a, b] }: PdfPath): number =>
  a && b ? Math.hypot(b[0] - a[0], b[1] - a[1]) : 0;
const upright = ({ points: [a, b] }: PdfPath): boolean => Math.abs(a![0] - b![0]) < 1e-6;
/** Joins are the only strokes of 6 mm and 0.15 mm. */
const joinsOf = (page: PdfPage): PdfPath[] =>
  page.paths.filter((p) => straight(p) && Math.abs(lengthOf(p) - 6 * MM) < 1e-3 && Math.abs(p.widthPt - 0.15 * MM) < 1e-6); // prettier-ignore
/** The outline of the face, which every tile draws and its window cuts off. */
const faceOf = (page: PdfPage): PdfPath =>
  page.paths.find((p) => p.closed && !p.curved && p.clip !== null) as PdfPath;

describe.each([
  ['A4', A4_MM, 595.2756, 841.8898],
  ['Letter', LETTER_MM, 612, 792],
])('a face of 500 x 350 mm on tiles of %s, by the numbers of the PDF', async (_, paper, w, h) => {
  const { pdf } = await drillTemplates([joint], 'wall', paper);
  const layout = templatePages(drillTemplate(joint, 'below'), joint, 'wall', paper);
  const names = layout.map((p) => /SHEET (\d+)-(\d+)$/.exec(p.title)?.slice(1).map(Number) ?? []);
  // The piece below comes first, then the one above in as many tiles.
  const pages = pdfPages(pdf);
  const tiles = pages.slice(0, layout.length);
  const tileAt = (row: number, column: number): PdfPage | undefined =>
    tiles[names.findIndex((n) => n[0] === row && n[1] === column)];

  it('is on paper of that size, upright or lying, both pieces alike', () => {
    expect(pages).toHaveLength(2 * layout.length);
    expect(tiles.length).toBeGreaterThanOrEqual(4);
    for (const { widthPt, heightPt } of pages) {
      const sides = [widthPt, heightPt].sort((a, b) => a - b);
      expect(sides[0]).toBeCloseTo(w, 3);
      expect(sides[1]).toBeCloseTo(h, 3);
    }
  });

  it('has a check bar of 283.46 points, 100 mm, on every tile', () => {
    for (const page of pages) {
      const bars = page.paths.filter((p) => straight(p) && Math.abs(lengthOf(p) - BAR_PT) < 1e-3);
      expect(bars).toHaveLength(1);
      for (const [x, y] of bars[0]!.points) {
        expect(x).toBeGreaterThan(9 * MM);
        expect(x).toBeLessThan(page.widthPt - 9 * MM);
        expect(y).toBeLessThan(page.heightPt - 9 * MM);
      }
    }
  });

  it('draws the face at its true size on every tile', () => {
    for (const page of pages) {
      const { points } = faceOf(page);
      const spans = [0, 1].map((k) => {
        const v = points.map((p) => p[k] as number);
        return (Math.max(...v) - Math.min(...v)) / MM;
      });
      expect(Math.max(...spans)).toBeCloseTo(500, 3);
      expect(Math.min(...spans)).toBeCloseTo(350, 3);
    }
  });

  it('lets the joins of neighbours fall on one another, inside what both of them show', () => {
    let pairs = 0;
    tiles.forEach((tile, i) => {
      const [row, column] = names[i] as [number, number];
      for (const [next, vertical] of [
        [tileAt(row, column + 1), true],
        [tileAt(row + 1, column), false],
      ] as const) {
        if (!next) continue;
        pairs++;
        // How far the drawing moves from this tile to the next.
        const [a, b] = [faceOf(tile).points[0], faceOf(next).points[0]];
        const move = [b![0] - a![0], b![1] - a![1]] as const;
        const here = joinsOf(tile).filter((p) => upright(p) === vertical);
        const there = joinsOf(next).filter((p) => upright(p) === vertical);
        const onBoth = here.filter((p) =>
          there.some((q) =>
            q.points.every(
              (end, k) =>
              [0, 1].every((axis) => Math.abs(end[axis]! - p.points[k]![axis]! - move[axis]!) < 1e-3), // prettier-ignore
            ),
          ),
        );
        // One at either end of the overlap.
        expect(onBoth).toHaveLength(2);
        for (const join of onBoth)
          for (const [page, dx, dy] of [[tile, 0, 0], [next, move[0], move[1]]] as const) {
            const [x, y, cw, ch] = faceOf(page).clip as [number, number, number, number];
            for (const [px, py] of join.points) {
              expect(px + dx).toBeGreaterThanOrEqual(x - 1e-6);
              expect(px + dx).toBeLessThanOrEqual(x + cw + 1e-6);
              expect(py + dy).toBeGreaterThanOrEqual(y - 1e-6);
              expect(py + dy).toBeLessThanOrEqual(y + ch + 1e-6);
            }
          } // prettier-ignore
        // What both show is 10 mm wide, the join in its middle.
        const [x, y, cw, ch] = faceOf(tile).clip as [number, number, number, number];
        const shared = vertical ? cw + move[0] : ch + move[1];
        expect(shared / MM).toBeCloseTo(10, 6);
        const [join] = onBoth[0]!.points;
        const toEdge = vertical ? x + cw - join![0] : y + ch - join![1];
        expect(toEdge / MM).toBeCloseTo(5, 6);
      }
    });
    // A grid of r x c tiles has r (c - 1) + c (r - 1) neighbours.
    const rows = Math.max(...names.map((n) => n[0]!));
    const columns = Math.max(...names.map((n) => n[1]!));
    expect(rows * columns).toBe(tiles.length);
    expect(pairs).toBe(rows * (columns - 1) + columns * (rows - 1));
  });
});
