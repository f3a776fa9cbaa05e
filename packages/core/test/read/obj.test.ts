import { describe, expect, it } from 'vitest';
import { readParts, triangleCount, vertexCount, type ReadPart } from '../../src/index.ts';
import { splitPolygon } from '../../src/read/polygon.ts';
import { bytesOf, errorOf, volumeOf } from './helpers.ts';

const read = (text: string): ReadPart => readParts(bytesOf(text), { name: 'a.obj' })[0]!;
const code = (text: string): string => errorOf(() => read(text)).code;

/** A cube of side 2 as six quads, counter-clockwise seen from outside. */
const CORNERS = 'v 0 0 0\nv 2 0 0\nv 2 2 0\nv 0 2 0\nv 0 0 2\nv 2 0 2\nv 2 2 2\nv 0 2 2\n';
const QUADS = [[1, 4, 3, 2], [5, 6, 7, 8], [1, 2, 6, 5], [2, 3, 7, 6], [3, 4, 8, 7], [4, 1, 5, 8]]; // prettier-ignore
const cube = (corner: (v: number) => string): string =>
  `${CORNERS}${QUADS.map((q) => `f ${q.map(corner).join(' ')}\n`).join('')}`;

describe('OBJ', () => {
  const forms: Record<string, (v: number) => string> = {
    v: (v) => `${v}`,
    'v/vt': (v) => `${v}/1`,
    'v//vn': (v) => `${v}//3`,
    'v/vt/vn': (v) => `${v}/1/3`,
    'negative numbers': (v) => `${v - 9}`,
  };
  for (const [name, form] of Object.entries(forms))
    it(`reads faces written as ${name}`, () => {
      const { mesh, notes, format } = read(cube(form));
      expect(format).toBe('obj');
      expect([triangleCount(mesh), vertexCount(mesh)]).toEqual([12, 8]);
      expect(volumeOf(mesh)).toBe(8);
      expect(notes.map((note) => note.code)).toEqual(['POLYGONS_SPLIT']);
    });

  it('reads continued lines, remarks, any line ends and what it does not need', () => {
    const text = `# a cube\nmtllib a.mtl\no cube\ng side\nusemtl red\ns off\nvt 0 0\nvn 0 0 1\n${cube(
      (v) => `${v}`,
    )
      .replace('f 1 4 3 2', 'f 1 4 \\\n 3 \\\n2')
      .replace('v 2 0 0', '  v\t2.0e0   0  -0 # right')}`;
    for (const end of ['\n', '\r', '\r\n']) {
      const { mesh } = read(text.replace(/\n/g, end));
      expect([triangleCount(mesh), vertexCount(mesh), volumeOf(mesh)]).toEqual([12, 8, 8]);
    }
  });

  it('takes vertices that come after the face which names them', () => {
    const [corners, faces] = [CORNERS, cube((v) => `${v}`).slice(CORNERS.length)];
    expect(volumeOf(read(faces + corners).mesh)).toBe(8);
  });

  it('says what it passed over', () => {
    const { notes } = read(`${cube((v) => `${v}`)}o second\no third\nl 1 2\np 3\ncurv 0 1 1 2\n`);
    expect(notes.map((n) => n.code)).toEqual(['SEVERAL_SOLIDS', 'POLYGONS_SPLIT', 'LINES_IGNORED', 'CURVES_IGNORED']); // prettier-ignore
  });

  it('refuses what is wrong, with the line', () => {
    expect(code(`${CORNERS}f 1 2 9\n`)).toBe('OBJ_INDEX');
    expect(code(`${CORNERS}f 1 2 0\n`)).toBe('OBJ_INDEX');
    expect(code(`${CORNERS}f -9 1 2\n`)).toBe('OBJ_INDEX');
    expect(code(`${CORNERS}f 1 2 x\n`)).toBe('OBJ_INDEX');
    expect(code(`${CORNERS}f 1 2\n`)).toBe('FACET_VERTEX_COUNT');
    expect(code('v 0 0\nf 1 1 1\n')).toBe('BAD_NUMBER');
    expect(code('v 0 inf 0\nf 1 1 1\n')).toBe('NOT_FINITE');
    expect(code('v 0 0 0\n')).toBe('NO_FACETS');
    expect(errorOf(() => read('v 0 0 0\n# \\\nremark\nv 0 0 z\n')).at).toEqual({ line: 4 });
  });
});

describe('splitting polygons', () => {
  /** Shoelace sum over the triangles: equals the polygon's area only if none lies outside it. */
  const areas = (xy: [number, number][]): number[] => {
    const order = splitPolygon(xy.flatMap(([x, y]) => [x, y, 5]));
    return Array.from({ length: order.length / 3 }, (_, i) => {
      const [a, b, c] = [xy[order[3 * i]!]!, xy[order[3 * i + 1]!]!, xy[order[3 * i + 2]!]!];
      return ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2;
    });
  };

  it('cuts an L, a comb and a star without a triangle turned over; the areas add up', () => {
    const L: [number, number][] = [
      [0, 0],
      [4, 0],
      [4, 1],
      [1, 1],
      [1, 3],
      [0, 3],
    ]; // area 6
    const comb: [number, number][] = [
      [0, 0],
      [7, 0],
      [7, 3],
      [6, 3],
      [6, 1],
      [4, 1],
      [4, 3],
      [3, 3],
      [3, 1],
      [1, 1],
      [1, 3],
      [0, 3],
    ]; // area 7 + 6
    const star: [number, number][] = Array.from({ length: 10 }, (_, i) => {
      const r = i % 2 ? 1 : 3;
      return [r * Math.cos((i * Math.PI) / 5), r * Math.sin((i * Math.PI) / 5)];
    }); // area 10 * (1/2) * 3 * 1 * sin 36 deg
    for (const [outline, area] of [
      [L, 6],
      [comb, 13],
      [star, 15 * Math.sin(Math.PI / 5)],
    ] as const)
      // prettier-ignore
      for (let shift = 0; shift < outline.length; shift++) {
        const turned = [...outline.slice(shift), ...outline.slice(0, shift)];
        const parts = areas(turned);
        expect(parts.length).toBe(outline.length - 2);
        expect(Math.min(...parts)).toBeGreaterThanOrEqual(0);
        expect(parts.reduce((a, b) => a + b, 0)).toBeCloseTo(area, 12);
      }
  });

  it('ends even where a polygon crosses itself', () => {
    expect(areas([[0, 0], [2, 2], [2, 0], [0, 2]]).length).toBe(2); // prettier-ignore
  });
});
