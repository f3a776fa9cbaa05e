import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import {
  boxEnvelope,
  boundsOf,
  boxMesh,
  drawableOf,
  drawView,
  JOIN_DEFAULTS,
  planJoints,
  proposeSplit,
  transformMesh,
  VIEWS,
  viewSvg,
  type Mesh,
  type SplitPart,
  type ViewDrawing,
} from '@scantling/core';
import { readPartsFromFile } from '@scantling/core/node';
import { PNG } from 'pngjs';
import { describe, expect, it } from 'vitest';
import { svgToPng } from '../src/render/png.ts';
import { explodedPicture } from '../src/tasks/picture/explode.ts';
import { cardPicture, type Picture } from '../src/tasks/picture/pictures.ts';

/**
 * Drawings beside pictures of them that somebody looked at and found right. The rasteriser is
 * WebAssembly and gives the same pixels everywhere; the tolerance is for the last digits of sines.
 * A picture that is meant to change is written anew by `UPDATE_PICTURES=1 npx vitest run
 * packages/cli/test/pictures.test.ts`: look at it before it is committed.
 */
const MOST_LEVELS = 32;
const MOST_SHARE = 0.001;

const here = fileURLToPath(new URL('./pictures/', import.meta.url));
const lamplighter = (name: string): Mesh =>
  readPartsFromFile(fileURLToPath(new URL(`../../../fixtures/lamplighter/${name}.stl`, import.meta.url)), { name })[0]!.mesh; // prettier-ignore

/** Share of the pixels that are off by more than `MOST_LEVELS` of 255 in some channel; 1: other size. */
function differing(a: PNG, b: PNG): number {
  if (a.width !== b.width || a.height !== b.height) return 1;
  let off = 0;
  for (let i = 0; i < a.data.length; i += 4)
    if ([0, 1, 2].some((k) => Math.abs(a.data[i + k]! - b.data[i + k]!) > MOST_LEVELS)) off++;
  return off / (a.width * a.height);
}

const rasterised = async (svg: string): Promise<PNG> =>
  PNG.sync.read(Buffer.from(await svgToPng(svg)));

const asSvg = ({ width, height, body }: Pick<Picture, 'width' | 'height' | 'body'>): string =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="${width / 8}" height="${height / 8}" viewBox="0 0 ${width} ${height}"><rect width="100%" height="100%" fill="#fff"/><g fill="none" stroke="#1c2430" stroke-linecap="round" stroke-linejoin="round">${body}</g></svg>`;

const cube: ViewDrawing = drawView(drawableOf(boxMesh([20, 20, 20])), VIEWS.iso, { hidden: true });
const cubeSvg = (drawing: ViewDrawing): string =>
  viewSvg(drawing, { pxPerMm: 6, ink: '#1c2430', paper: '#ffffff' });

/** The lantern's frame in a build envelope, shaded, as on a card of the report. */
const inEnvelope = (): Picture => {
  const modelled = lamplighter('lantern-frame');
  // It lies where it hangs in the figure: down onto the middle of the plate with it.
  const { min, max } = boundsOf(modelled.positions);
  const mesh = transformMesh(modelled, [1, 0, 0, 0, 1, 0, 0, 0, 1], [-(min[0] + max[0]) / 2, -(min[1] + max[1]) / 2, -min[2]]); // prettier-ignore
  return cardPicture(drawableOf(mesh), boxEnvelope(220, 220, 250), 0.6, { fineness: 1, bytes: 40_000 }); // prettier-ignore
};

/** A leg cut across by hand, its two pieces pulled apart along the dowels' axes. */
async function pulledApart(): Promise<Picture> {
  const mesh = lamplighter('leg-left');
  const planes = [{ normal: [0, 0, 1] as const, offsetMm: 480 }];
  const plan = proposeSplit(mesh, [boxEnvelope(600, 600, 600)], { part: 'leg', planes }).plans[0]!;
  const joints = await planJoints(mesh, plan, JOIN_DEFAULTS);
  expect(joints.flatMap((j) => j.regions.flatMap((r) => r.dowels)).length).toBeGreaterThan(0);
  const split = { plans: [plan], joints } as unknown as SplitPart;
  const made = await explodedPicture(mesh, split, 20_000, { fineness: 1, bytes: 40_000 });
  return made!.picture;
}

const drawings: Readonly<Record<string, () => Promise<string> | string>> = {
  'cube-isometric': () => cubeSvg(cube),
  'lantern-frame-in-envelope': () => asSvg(inEnvelope()),
  'leg-cut-with-dowels': async () => asSvg(await pulledApart()),
};

describe('drawings against pictures that were looked at', () => {
  it.each(Object.keys(drawings))('%s: at most a thousandth of the pixels off by more than 32 levels', async (name) => {
    const png = await rasterised(await drawings[name]!());
    const file = `${here}${name}.png`;
    if (process.env['UPDATE_PICTURES']) {
      mkdirSync(here, { recursive: true });
      writeFileSync(file, PNG.sync.write(png));
    }
    expect(existsSync(file)).toBe(true);
    const kept = PNG.sync.read(readFileSync(file));
    // Some of it is ink: two blank pictures would agree as well.
    expect(differing(kept, blank(kept))).toBeGreaterThan(0.01);
    expect(differing(png, kept)).toBeLessThanOrEqual(MOST_SHARE);
  }); // prettier-ignore
});

const blank = ({ width, height }: PNG): PNG => {
  const png = new PNG({ width, height });
  png.data.fill(255);
  return png;
};

describe('the tolerance', () => {
  const kept = async (name: string): Promise<PNG> => rasterised(await drawings[name]!());

  it('takes a difference in the last digits of a position', async () => {
    const nudged = { ...cube, lines: cube.lines.map((l) => ({ ...l, points: l.points.map((x) => x + 1e-6) })) }; // prettier-ignore
    expect(differing(await rasterised(cubeSvg(nudged)), await kept('cube-isometric'))).toBeLessThanOrEqual(MOST_SHARE); // prettier-ignore
  });

  it.each(Object.keys(drawings))('refuses %s moved by two pixels', async (name) => {
    const right = await kept(name);
    const moved = blank(right);
    for (let y = 0; y < right.height; y++)
      right.data.copy(moved.data, 4 * (y * right.width + 2), 4 * y * right.width, 4 * ((y + 1) * right.width - 2)); // prettier-ignore
    expect(differing(moved, right)).toBeGreaterThan(5 * MOST_SHARE);
  });

  it('refuses a cube that lacks any one of its lines, or shows a hidden one as visible', async () => {
    const right = await kept('cube-isometric');
    expect(cube.lines.length).toBeGreaterThan(3);
    for (const line of cube.lines) {
      const without = { ...cube, lines: cube.lines.filter((l) => l !== line) };
      expect(differing(await rasterised(cubeSvg(without)), right)).toBeGreaterThan(MOST_SHARE);
      if (line.kind !== 'hidden') continue;
      const asSeen = { ...cube, lines: cube.lines.map((l) => (l === line ? { ...l, kind: 'visible' as const } : l)) }; // prettier-ignore
      expect(differing(await rasterised(cubeSvg(asSeen)), right)).toBeGreaterThan(MOST_SHARE);
    }
  });

  it('refuses pieces without the axes of their dowels, and a part without its tones or envelope', async () => {
    const leg = await pulledApart();
    const axes = /<path class="l-centre"[^>]*\/>/;
    expect(leg.body).toMatch(axes);
    const withoutAxes = asSvg({ ...leg, body: leg.body.replace(axes, '') });
    expect(differing(await rasterised(withoutAxes), await rasterised(asSvg(leg)))).toBeGreaterThan(MOST_SHARE); // prettier-ignore
    const frame = inEnvelope();
    for (const part of [/<image class="wash"[^>]*\/>/, /<path class="l-neighbour"[^>]*\/>/]) {
      expect(part.test(frame.body)).toBe(true);
      const without = asSvg({ ...frame, body: frame.body.replace(part, '') });
      expect(differing(await rasterised(without), await rasterised(asSvg(frame)))).toBeGreaterThan(MOST_SHARE); // prettier-ignore
    }
  });
});
