import { describe, expect, it } from 'vitest';
import {
  drawableOf,
  drawView,
  project,
  VIEWS,
  viewSvg,
  type PaperLine,
} from '../../src/draw/index.ts';
import { cross, dot } from '../../src/math/index.ts';
import { ballMesh, boxMesh, joinMeshes, torusMesh } from '../../src/mesh/index.ts';

const draw = (mesh: Parameters<typeof drawableOf>[0], name: keyof typeof VIEWS, hidden = false) =>
  drawView(drawableOf(mesh), VIEWS[name], { hidden });

/** Straight stretches of lines, as x0, y0, x1, y1. */
const stretches = (lines: readonly PaperLine[]): [number, number, number, number][] =>
  lines.flatMap(({ points }) =>
    Array.from(
      { length: points.length / 2 - 1 },
      (_, i) => points.slice(2 * i, 2 * i + 4) as never,
    ),
  );
const lengthOf = (lines: readonly PaperLine[]): number =>
  stretches(lines).reduce((sum, [x0, y0, x1, y1]) => sum + Math.hypot(x1 - x0, y1 - y0), 0);
const ofKind = (lines: readonly PaperLine[], kind: PaperLine['kind']) =>
  lines.filter((line) => line.kind === kind);

describe('the views', () => {
  it('are right-handed and square', () => {
    for (const { right, up, toward } of Object.values(VIEWS)) {
      const c = cross(right, up);
      for (let i = 0; i < 3; i++) expect(c[i]).toBeCloseTo(toward[i] as number, 12);
      expect(dot(right, up)).toBeCloseTo(0, 12);
    }
  });

  it('put X right in front, top and bottom, and Z up from all sides', () => {
    for (const name of ['front', 'top', 'bottom'] as const)
      expect([...project([1, 0, 0], VIEWS[name])].slice(0, 2)).toEqual([1, 0]);
    for (const name of ['front', 'back', 'left', 'right'] as const)
      expect(project([0, 0, 1], VIEWS[name])[1]).toBe(1);
    // From the left one sees Y run to the left, from the right to the right, from above upwards.
    expect(project([0, 1, 0], VIEWS.left)[0]).toBeCloseTo(-1, 12);
    expect(project([0, 1, 0], VIEWS.right)[0]).toBeCloseTo(1, 12);
    expect(project([0, 1, 0], VIEWS.top)[1]).toBeCloseTo(1, 12);
    expect(project([0, 1, 0], VIEWS.bottom)[1]).toBeCloseTo(-1, 12);
  });

  // ISO 5456-3 (from memory): isometric axes at 30 degrees to the horizontal, all shortened alike;
  // by sqrt(2/3) when drawn as the true projection.
  it('draw a cube isometrically: edges at 30 degrees and upright, shortened by sqrt(2/3)', () => {
    const { lines } = draw(boxMesh([10, 10, 10]), 'iso');
    const edges = stretches(lines);
    expect(edges).toHaveLength(9);
    const angles = edges.map(([x0, y0, x1, y1]) => {
      expect(Math.hypot(x1 - x0, y1 - y0)).toBeCloseTo(10 * Math.sqrt(2 / 3), 9);
      return (((Math.atan2(y1 - y0, x1 - x0) * 180) / Math.PI + 180.000001) % 180) - 0.000001;
    });
    const near = (a: number): number => angles.filter((b) => Math.abs(a - b) < 1e-6).length;
    expect([near(30), near(90), near(150)]).toEqual([3, 3, 3]);
  });
});

describe('hidden lines', () => {
  it('of a cube are the three edges at its far corner', () => {
    const { lines } = draw(boxMesh([10, 10, 10]), 'iso', true);
    expect(stretches(ofKind(lines, 'hidden'))).toHaveLength(3);
    expect(lengthOf(ofKind(lines, 'hidden'))).toBeCloseTo(30 * Math.sqrt(2 / 3), 9);
  });

  it('end exactly where the body before them ends', () => {
    // A bar of 100 x 4 behind a post of 10 x 30: of its two long edges 10 mm each are hidden.
    const bar = boxMesh([100, 5, 4], [-50, 10, 13]);
    const post = boxMesh([10, 5, 30], [-5, 0, 0]);
    const { lines } = draw(joinMeshes([bar, post]), 'front', true);
    const outline = 2 * (100 + 4) + 2 * (10 + 30);
    expect(lengthOf(ofKind(lines, 'visible'))).toBeCloseTo(outline - 20, 9);
    expect(lengthOf(ofKind(lines, 'hidden'))).toBeCloseTo(20, 9);
    const ends = stretches(ofKind(lines, 'hidden')).flatMap(([x0, , x1]) => [x0, x1]);
    for (const x of ends) expect(Math.abs(x)).toBeCloseTo(5, 9);
  });

  it('leave a ball its outline circle alone', () => {
    const r = 30;
    const { lines } = draw(ballMesh(r, 5), 'iso');
    // The outline runs through vertices and edges of the facets: between r cos(step) and r.
    for (const { points } of lines)
      for (let i = 0; i < points.length; i += 2) {
        const d = Math.hypot(points[i] as number, points[i + 1] as number);
        expect(d).toBeLessThan(r + 1e-9);
        expect(d).toBeGreaterThan(0.985 * r);
      }
    expect(lengthOf(lines) / (2 * Math.PI * r)).toBeGreaterThan(0.97);
    expect(lengthOf(lines) / (2 * Math.PI * r)).toBeLessThan(1.04);
  });

  it('leave a ring seen along its axis two circles', () => {
    const { lines } = draw(torusMesh(40, 10, 180, 60), 'top');
    expect(lengthOf(lines) / (2 * Math.PI * (50 + 30))).toBeCloseTo(1, 2);
  });

  it('show the inside of an open box, whose walls hide from both sides', () => {
    const box = boxMesh([10, 10, 10]);
    // Without its upper facets (the third and fourth).
    const open = { ...box, triangles: Uint32Array.from([...box.triangles.slice(0, 6), ...box.triangles.slice(12)]) }; // prettier-ignore
    const shut = lengthOf(draw(box, 'iso').lines);
    // The far upright edge shows its whole length: it ends at the middle of the picture.
    expect(lengthOf(draw(open, 'iso').lines) - shut).toBeCloseTo(10 * Math.sqrt(2 / 3), 6);
  });
});

describe('a drawing', () => {
  it('is the same whatever the order of the facets', () => {
    const mesh = torusMesh(40, 15, 60, 30);
    const turned = { ...mesh, triangles: new Uint32Array(mesh.triangles.length) };
    for (let f = 0; f < mesh.triangles.length; f += 3)
      turned.triangles.set(mesh.triangles.subarray(f, f + 3), mesh.triangles.length - 3 - f);
    expect(lengthOf(draw(turned, 'iso').lines)).toBeCloseTo(lengthOf(draw(mesh, 'iso').lines), 6);
  });

  it('comes out as the same SVG every time, with the line types apart', () => {
    const make = () =>
      viewSvg(draw(boxMesh([20, 10, 5]), 'iso', true), { pxPerMm: 4, title: 'A <box>' });
    expect(make()).toBe(make());
    expect(make()).toContain('<title>A &lt;box&gt;</title>');
    const dashed = /class="l-hidden" stroke-width="([\d.]+)" stroke-dasharray/.exec(make());
    const solid = /class="l-visible" stroke-width="([\d.]+)" d=/.exec(make());
    // ISO 128: wide to narrow is 2 to 1.
    expect(Number(solid?.[1]) / Number(dashed?.[1])).toBeCloseTo(2, 2);
  });
});

it('says so when all of a part is seen as one point', () => {
  const at = (...p: number[]): Float64Array => Float64Array.from(p);
  const line = { positions: at(0, 0, 0, 0, 0, 1, 0, 0, 2), triangles: Uint32Array.of(0, 1, 2) };
  const seen = (name: keyof typeof VIEWS) => () => draw(line, name);
  expect(seen('front')).not.toThrow();
  expect(seen('top')).toThrow(expect.objectContaining({ code: 'NOTHING_TO_DRAW' }) as Error);
});
