import { PNG } from 'pngjs';
import { describe, expect, it } from 'vitest';
import { simplifyMesh, VIEWS, washOf } from '../../src/draw/index.ts';
import { ballMesh, boundsOf, boxMesh, massProperties, torusMesh } from '../../src/mesh/index.ts';

describe('the wash under a drawing', () => {
  it('is a PNG that another decoder reads, of the area of the body on paper', () => {
    const wash = washOf(ballMesh(30, 4), VIEWS.front, 4);
    const png = PNG.sync.read(Buffer.from(wash.png));
    expect([png.width, png.height]).toEqual([wash.widthPx, wash.heightPx]);
    let inked = 0;
    for (let i = 3; i < png.data.length; i += 4) if (png.data[i]) inked++;
    // A disc of radius 30 mm at 4 px/mm, less the flats of the facets.
    expect(inked / (Math.PI * 120 ** 2)).toBeGreaterThan(0.98);
    expect(inked / (Math.PI * 120 ** 2)).toBeLessThan(1);
  });

  it('is lightest at the upper left, where the light comes from', () => {
    const { png, widthPx: w } = washOf(ballMesh(30, 4), VIEWS.front, 2);
    const { data } = PNG.sync.read(Buffer.from(png));
    const at = (x: number, y: number): number => data[4 * (y * w + x) + 3] as number;
    expect(at(45, 40)).toBeLessThan(at(80, 100));
  });
});

describe('a mesh made coarse for looking at', () => {
  it('stays as it is within the budget', () => {
    const box = boxMesh([1, 2, 3]);
    expect(simplifyMesh(box, 12)).toBe(box);
  });

  it.each([500, 2000, 8000])('keeps a budget of %i triangles and the shape', (budget) => {
    const mesh = torusMesh(40, 15, 120, 90);
    const coarse = simplifyMesh(mesh, budget);
    const count = coarse.triangles.length / 3;
    expect(count).toBeLessThanOrEqual(budget);
    expect(count).toBeGreaterThan(0.5 * budget);
    // 2 pi^2 R r^2, the torus in closed form.
    expect(massProperties(coarse).volumeMm3 / (2 * Math.PI ** 2 * 40 * 225)).toBeCloseTo(1, 1);
    expect(boundsOf(coarse.positions).max[0]).toBeCloseTo(55, 0);
    expect(coarse.triangles.every((v) => v < coarse.positions.length / 3)).toBe(true);
  });
});
