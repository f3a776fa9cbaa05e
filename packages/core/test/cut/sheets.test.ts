import { inflateSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import {
  cutSheet,
  cutSheetSchema,
  drillTemplate,
  drillTemplates,
  planJoints,
  POINTS_PER_MM,
  sheetsPdf,
  sheetSvg,
  shoppingList,
  strokeText,
  templatePages,
  templateSheet,
} from '../../src/cut/index.ts';
import { STROKE_SIGNS } from '../../src/cut/strokes.ts';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { JOIN_DEFAULTS, jointSchema, type Joint } from '../../src/join/index.ts';
import { quatFromTurnsDeg, quatToMatrix, rotate, unit, type Vec3 } from '../../src/math/index.ts';
import {
  ballMesh,
  boxMesh,
  regionFigures,
  transformMesh,
  type Mesh,
} from '../../src/mesh/index.ts';
import { loadKernel } from '../../src/solid/index.ts';
import { proposeSplit, type SplitPlan } from '../../src/split/index.ts';

async function planned(
  mesh: Mesh,
  normals: readonly [Vec3, number][],
): Promise<{ plan: SplitPlan; joints: Joint[] }> {
  const planes = normals.map(([normal, offsetMm]) => ({ normal, offsetMm }));
  const plan = proposeSplit(mesh, [boxEnvelope(400, 400, 400)], { part: 'arm', planes }).plans[0];
  if (!plan) throw new Error('no plan');
  return { plan, joints: await planJoints(mesh, plan, JOIN_DEFAULTS) };
}

const bar = await planned(boxMesh([300, 60, 40]), [[[1, 0, 0], 140]]);
const joint = bar.joints[0] as Joint;

/** The numbers of a PDF, read with nothing but zlib: page boxes and content streams. */
function pdfPages(bytes: Uint8Array): { boxes: number[][]; streams: string[] } {
  const text = Buffer.from(bytes).toString('latin1');
  const boxes = [...text.matchAll(/\/MediaBox\s*\[([^\]]+)\]/g)].map((m) =>
    (m[1] as string).trim().split(/\s+/).map(Number),
  );
  const streams = [...text.matchAll(/stream\r?\n([\s\S]*?)\r?\nendstream/g)]
    .map((m) => inflateSync(Buffer.from(m[1] as string, 'latin1')).toString('latin1'))
    .filter((s) => s.includes(' cm'));
  return { boxes, streams };
}

/** Straight two-point paths of a content stream, in mm of the page. */
const segmentsOf = (stream: string): number[][] =>
  [...stream.matchAll(/([-\d.]+) ([-\d.]+) m\s+([-\d.]+) ([-\d.]+) l\s+S/g)].map((m) =>
    m.slice(1, 5).map(Number),
  );

describe('drilling templates', () => {
  it('come out of the PDF at true size: page, scale, bar, outline and holes', async () => {
    const pages = templatePages(drillTemplate(joint, 'below'), joint, 'arm');
    const pdf = await sheetsPdf(pages, 'arm');
    const { boxes, streams } = pdfPages(pdf);
    expect(pages).toHaveLength(1);
    expect(boxes).toHaveLength(1);
    // A4 is 210 x 297 mm (ISO 216); a point is 1/72 in (ISO 32000-1).
    expect(boxes[0]?.[2]).toBeCloseTo((210 * 72) / 25.4, 6);
    expect(boxes[0]?.[3]).toBeCloseTo((297 * 72) / 25.4, 6);
    const stream = streams[0] as string;
    const scale = /([\d.]+) 0 0 ([\d.]+) 0 0 cm/.exec(stream)?.slice(1, 3).map(Number);
    expect(scale?.[0]).toBeCloseTo(POINTS_PER_MM, 9);
    expect(scale?.[1]).toBe(scale?.[0]);
    const points = (mm: number): number => mm * (scale?.[0] as number);
    const bar100 = segmentsOf(stream).find(
      ([x0, y0, x1, y1]) => y0 === y1 && Math.abs(x1! - x0! - 100) < 1e-6,
    );
    // 100 mm are 283.4646 points.
    expect(points(bar100![2]! - bar100![0]!)).toBeCloseTo(283.4646, 3);
    // The first path that is closed (`h`) is the outline of the section.
    const first = stream.slice(0, /\sh\s/.exec(stream)?.index);
    const outline = [...first.matchAll(/([-\d.]+) ([-\d.]+) [ml]/g)].map(
      (m) => [Number(m[1]), Number(m[2])] as const,
    );
    const xs = outline.map((p) => p[0]);
    const ys = outline.map((p) => p[1]);
    expect(Math.max(...xs) - Math.min(...xs)).toBeCloseTo(60, 3);
    expect(Math.max(...ys) - Math.min(...ys)).toBeCloseTo(40, 3);
    expect([...stream.matchAll(/ c\s/g)]).toHaveLength(
      4 * (joint.regions[0]?.dowels.length as number),
    );
  });

  it('show the holes as far apart as they are, mirrored for the piece above', () => {
    const dowels = joint.regions[0]?.dowels ?? [];
    const apart = Math.hypot(
      ...[0, 1, 2].map((k) => dowels[0]!.centreMm[k]! - dowels[1]!.centreMm[k]!),
    );
    const [below, above] = (['below', 'above'] as const).map((s) => drillTemplate(joint, s));
    for (const t of [below!, above!]) {
      const [a, b] = t.drawing.circles;
      expect(Math.hypot(a!.x - b!.x, a!.y - b!.y)).toBeCloseTo(apart, 9);
      expect(2 * a!.r).toBeCloseTo(dowels[0]!.holeDiameterMm, 9);
    }
    below!.drawing.circles.forEach((c, i) => {
      expect(above!.drawing.circles[i]!.x).toBeCloseTo(60 - c.x, 9);
      expect(above!.drawing.circles[i]!.y).toBeCloseTo(c.y, 9);
    });
  });

  it('write SVG in which a user unit is a millimetre', () => {
    const sheet = templateSheet(drillTemplate(joint, 'below'), joint, 'arm <1> & "2"');
    const svg = sheetSvg(sheet);
    const [, w, h, vw, vh] =
      /width="([\d.]+)mm" height="([\d.]+)mm" viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(svg) ?? [];
    expect([w, h]).toEqual([vw, vh]);
    expect(svg).toContain('arm &lt;1&gt; &amp; &quot;2&quot;');
    const radii = [...svg.matchAll(/<circle [^>]*r="([\d.]+)"/g)].map((m) => Number(m[1]));
    expect(radii).toEqual(joint.regions[0]?.dowels.map((d) => d.holeDiameterMm / 2));
    // Nothing is drawn off the sheet.
    for (const m of svg.matchAll(/points="([^"]+)"/g))
      for (const p of (m[1] as string).split(' ')) {
        const [x, y] = p.split(',').map(Number);
        expect(x! >= 0 && x! <= Number(w) && y! >= 0 && y! <= Number(h)).toBe(true);
      }
  });

  it('tile a face larger than A4, nothing lost between the sheets', async () => {
    const big = await planned(boxMesh([100, 500, 350]), [[[1, 0, 0], 50]]);
    const large = big.joints[0] as Joint;
    const template = drillTemplate(large, 'below');
    const pages = templatePages(template, large, 'wall');
    expect(pages.length).toBeGreaterThanOrEqual(4);
    // Every point of the face is in the window of some page.
    for (let x = 0.5; x < template.widthMm; x += 7)
      for (let y = 0.5; y < template.heightMm; y += 7) {
        const seen = pages.some(({ layers }) => {
          const { dx, dy, window } = layers[0]!;
          return (
            window !== undefined &&
            x + dx >= window.x &&
            x + dx <= window.x + window.widthMm &&
            y + dy >= window.y &&
            y + dy <= window.y + window.heightMm
          );
        });
        expect(seen).toBe(true);
      }
    const { pdf, svgs } = await drillTemplates(big.joints, 'wall');
    expect(pdfPages(pdf).boxes).toHaveLength(2 * pages.length);
    expect(svgs.map((s) => s.piece)).toEqual([large.below, large.above]);
    // The same bytes each time.
    expect((await drillTemplates(big.joints, 'wall')).pdf).toEqual(pdf);
  });
});

describe('strokeText', () => {
  it('draws every sign it claims inside its cell, and each differently', () => {
    const seen = new Set<string>();
    for (const sign of STROKE_SIGNS) {
      const lines = strokeText(sign, 6, 0.8);
      expect(lines.length).toBeGreaterThan(0);
      for (const line of lines)
        line.forEach((v, k) => {
          // Commas hang by one below the line.
          expect(Math.abs(v)).toBeLessThanOrEqual(k % 2 === 0 ? 2 : ',;'.includes(sign) ? 4 : 3);
          expect(Number.isFinite(v)).toBe(true);
        });
      seen.add(JSON.stringify(lines));
    }
    expect(seen.size).toBeGreaterThanOrEqual(STROKE_SIGNS.length - 1);
    expect(strokeText('1-2', 10, 0.8)).toHaveLength(2 + 1 + 1);
    // An accent is dropped; what cannot be drawn is seen to be missing.
    expect(strokeText('\u00e9', 6, 0.8)).toEqual(strokeText('E', 6, 0.8));
    expect(strokeText('\u4eba', 6, 0.8)).toHaveLength(3);
  });
});

describe('cutSheet', () => {
  it('turns each body so that a cut at the height is the plane of the plan', async () => {
    const mesh = transformMesh(ballMesh(80, 3), [1, 0, 0, 0, 1, 0, 0, 0, 1], [30, -50, 20]);
    const { plan, joints } = await planned(mesh, [
      [unit([1, 2, 2]) as Vec3, 0],
      [[1, 0, 0], 35],
    ]);
    const sheet = cutSheetSchema.parse(cutSheet(plan, joints));
    expect(sheet.cutting.length).toBe(plan.cuts.length);
    const kernel = await loadKernel();
    for (const step of sheet.cutting) {
      // The body on the plate, made by the kernel from the half-spaces of the cuts before.
      const cut = plan.cuts.find((c) => c.id === step.cut)!;
      const body = kernel.scope((s) => {
        let solid = s.meshToSolid(mesh);
        for (const w of cut.within) {
          const plane = plan.planes.find((p) => p.id === w.plane)!;
          solid = s.splitByPlane(solid, plane)[w.side];
        }
        return s.solidToMesh(solid);
      });
      const turn = quatToMatrix(quatFromTurnsDeg(step.turnsDeg));
      let low = Infinity;
      for (let i = 0; i < body.positions.length; i += 3)
        low = Math.min(low, rotate(turn, [...body.positions.subarray(i, i + 3)] as never)[2]);
      const up = rotate(turn, step.plane.normal);
      expect(up[2]).toBeCloseTo(1, 9);
      // Any point of the plane stands at the height once the lowest point is on the plate.
      const on = step.plane.normal.map((x) => x * step.plane.offsetMm) as unknown as Vec3;
      expect(rotate(turn, on)[2] - low).toBeCloseTo(step.heightMm, 4);
    }
    expect(sheet.gluing.map((g) => g.cut)).toEqual(plan.cuts.map((c) => c.id).reverse());
    expect(sheet.gluing.flatMap((g) => g.joints).sort()).toEqual(joints.map((j) => j.id).sort());
    expect(sheet.cautions.join()).toMatch(/mask/);
  });

  it('counts the shopping, cut lengths and what is on hand', () => {
    const with3 = (lengthMm: number | null, used: number, onHand: number): Joint => {
      const copy = jointSchema.parse(structuredClone(joint));
      for (const d of copy.regions.flatMap((r) => r.dowels)) {
        d.item = { standard: 'rod', material: 'steel', diameterMm: 5, lengthMm, onHand };
        d.lengthMm = used;
      }
      return copy;
    };
    const n = joint.regions[0]!.dowels.length;
    const [cutStock] = shoppingList([with3(null, 30, 50), with3(null, 20, 50)]);
    expect(cutStock?.cutsMm).toEqual([
      { lengthMm: 30, count: n },
      { lengthMm: 20, count: n },
    ]);
    expect(cutStock?.totalMm).toBe(50 * n);
    expect(cutStock?.toBuy).toBe(50 * n - 50);
    const [whole] = shoppingList([with3(40, 40, 1), with3(40, 40, 1)]);
    expect([whole?.count, whole?.toBuy, whole?.cutsMm]).toEqual([2 * n, 2 * n - 1, []]);
    expect(shoppingList([])).toEqual([]);
  });

  it('gives the area of the face that the outline on the template has', () => {
    const area = regionFigures(joint.loopsMm.map((l) => Float64Array.from(l))).areaMm2;
    expect(area).toBeCloseTo(2400, 6);
    expect(joint.areaMm2).toBeCloseTo(2400, 6);
  });
});
