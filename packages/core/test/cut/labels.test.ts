import { describe, expect, it } from 'vitest';
import { LETTER_ADVANCE } from '../../src/cut/drawing.ts';
import { placeLabels, type Hole } from '../../src/cut/labels.ts';

const LETTER = 2;
const box = (t: { text: string; x: number; y: number }): number[] => [
  t.x,
  t.y,
  t.x + LETTER * LETTER_ADVANCE * t.text.length,
  t.y + LETTER,
];
const apart = (a: number[], b: number[]): boolean =>
  (a[2] ?? 0) <= (b[0] ?? 0) + 0.6 || (b[2] ?? 0) <= (a[0] ?? 0) + 0.6 || (a[3] ?? 0) <= (b[1] ?? 0) || (b[3] ?? 0) <= (a[1] ?? 0); // prettier-ignore

describe('labels of a drilling template', () => {
  it('stay clear of each other and of other holes where these are close', () => {
    const holes: Hole[] = [[10, 8], [18, 7], [26, 9], [14, 14]].map(([x = 0, y = 0]) => ({ x, y, r: 1.6, label: '3.2 / 9.6' })); // prettier-ignore
    const outline = { points: [0, 0, 80, 0, 80, 30, 0, 30], closed: true, widthMm: 0.2 };
    const boxes = placeLabels(holes, [outline], 80, 30, LETTER).map(box);
    boxes.forEach((a, i) => {
      boxes.slice(i + 1).forEach((b) => {
        expect(apart(a, b)).toBe(true);
      });
      holes.forEach(({ x, y, r }, k) => {
        if (k !== i) expect(apart(a, [x - r, y - r, x + r, y + r])).toBe(true);
      });
    });
  });

  it('leave the outline free, on a wide face and beside the hole of a thin one', () => {
    const wide = { points: [0, 0, 60, 0, 60, 40, 0, 40], closed: true, widthMm: 0.2 };
    const [inside] = placeLabels([{ x: 30, y: 20, r: 2, label: '4 / 9' }], [wide], 60, 40, LETTER);
    expect(inside?.y).toBeGreaterThan(0);
    expect(inside?.y).toBeLessThan(38);
    const thin = { points: [0, 0, 60, 0, 60, 7, 0, 7], closed: true, widthMm: 0.2 };
    const [label] = placeLabels([{ x: 10, y: 3.5, r: 2, label: '4 / 9.6' }], [thin], 60, 7, LETTER);
    // Between the hole and an edge are 1.5 mm: beside the hole is room for letters of 2 mm.
    expect(label && label.y > 0.3 && label.y + LETTER < 6.7).toBe(true);
  });
});
