import { existsSync, readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import {
  estimatePart,
  estimateSettingsSchema,
  linePitchMm,
  materialOf,
  moveTimeS,
  partEstimateSchema,
  type EstimateSettings,
  type PartEstimate,
} from '../../src/estimate/index.ts';
import { ballMesh, boxMesh, cylinderMesh, joinMeshes, flipTriangles, massProperties, torusMesh, type Mesh } from '../../src/mesh/index.ts'; // prettier-ignore
import { readParts } from '../../src/read/index.ts';
import { loadKernel, type Kernel } from '../../src/solid/index.ts';
import { parseWorkshop } from '../../src/workshop/index.ts';

let kernel: Kernel;
beforeAll(async () => {
  kernel = await loadKernel();
});
const PLA = materialOf('PLA');
const settings = (more: Partial<EstimateSettings> = {}): EstimateSettings => ({ ...estimateSettingsSchema.parse({}), purgeG: 0, heatingS: 0, ...more }); // prettier-ignore
function estimate(mesh: Mesh, more: Partial<EstimateSettings> = {}, supportMm3 = 0): PartEstimate {
  const e = estimatePart(mesh, settings(more), PLA, kernel, { supportMm3 });
  expect(e).not.toBeNull();
  return partEstimateSchema.parse(e);
}
const grams = (mm3: number): number => (mm3 / 1000) * 1.24;
const p = linePitchMm(0.45, 0.2);

describe('filament against closed forms', () => {
  it('a solid cube of 20 weighs 9.92 g in PLA, and 3.3269 m of 1.75 filament', () => {
    const e = estimate(boxMesh([20, 20, 20]), { infillShare: 1 });
    expect(e.massG).toBeCloseTo(9.92, 6);
    expect(e.filamentM).toBeCloseTo(8 / ((Math.PI * 1.75 ** 2) / 4), 6);
    expect(e.layers).toBe(100);
  });

  it.each([
    [2, 0.1],
    [4, 0.2],
    [7, 0.35],
  ])('a cube with %i walls and infill %f is shell plus share of the core', (walls, infillShare) => {
    const [a, skin] = [40, 0.8];
    const e = estimate(boxMesh([a, a, a], [3, -7, 11]), { walls, infillShare });
    const core = (a - 2 * walls * p) ** 2 * (a - 2 * skin);
    expect(e.massG).toBeCloseTo(grams(a ** 3 - (1 - infillShare) * core), 4);
    expect(e.mass.skinsG).toBeCloseTo(grams((a - 2 * walls * p) ** 2 * 2 * skin), 4);
    expect(e.mass.infillG).toBeCloseTo(grams(infillShare * core), 4);
  });

  it('thin bodies are solid, whatever the infill', () => {
    expect(estimate(boxMesh([30, 30, 1.2]), { infillShare: 0 }).massG).toBeCloseTo(grams(1080), 4);
    // Thinner than a line: it is not lost.
    expect(estimate(boxMesh([30, 0.3, 20]), { infillShare: 0 }).massG).toBeCloseTo(grams(180), 4);
  });

  it('a cylinder has round walls: the core is the polygon shrunk by the walls', () => {
    const [r, h, n] = [15, 30, 96];
    const e = estimate(cylinderMesh(r, h, n), { walls: 3, infillShare: 0.15 });
    // A regular n-gon shrunk by d keeps its shape: apothem less d.
    const area = (shrunk: number): number => n * (r * Math.cos(Math.PI / n) - shrunk) ** 2 * Math.tan(Math.PI / n); // prettier-ignore
    const solid = area(0) * h - 0.85 * area(3 * p) * (h - 1.6);
    expect(Math.abs(e.massG / grams(solid) - 1)).toBeLessThan(2e-4);
  });

  it.each([
    ['ball', ballMesh(20, 3)],
    ['torus', torusMesh(30, 8, 32, 16)],
    ['box with a void', joinMeshes([boxMesh([40, 40, 40]), { positions: boxMesh([30, 30, 30], [5, 5, 5]).positions, triangles: flipTriangles(boxMesh([30, 30, 30]).triangles) }])], // prettier-ignore
  ])('a solid %s weighs its volume', (_, mesh) => {
    const e = estimate(mesh, { infillShare: 1 });
    expect(Math.abs(e.massG / grams(massProperties(mesh).volumeMm3) - 1)).toBeLessThan(0.005);
    expect(e.sections).toBeLessThanOrEqual(240);
  });

  it('adds supports, brim and purge', () => {
    const e = estimate(boxMesh([20, 20, 20]), { infillShare: 1, supportShare: 0.15, brimMm: 5, purgeG: 2 }, 4000); // prettier-ignore
    expect(e.mass.supportsG).toBeCloseTo(grams(600), 9);
    // Band of 5 mm around a square of 20: 4 * 20 * 5 and four quarter circles, one layer of 0.2.
    const band = 400 + Math.PI * 25;
    expect(Math.abs(e.mass.brimG / grams(band * 0.2) - 1)).toBeLessThan(0.002);
    expect(e.massG).toBeCloseTo(9.92 + e.mass.supportsG + e.mass.brimG + 2, 6);
  });

  it('says nothing of a mesh that does not close', () => {
    const box = boxMesh([20, 20, 20]);
    const open = { positions: box.positions, triangles: box.triangles.slice(0, -6) };
    expect(estimatePart(open, settings(), PLA, kernel)).toBeNull();
  });
});

describe('hours against closed forms', () => {
  const quiet = { minLayerS: 0, layerChangeS: 0, travelSpeed: 1e9, acceleration: 2000 };

  it('a wall-only tube of square section: four runs per wall line and layer', () => {
    const [a, h] = [50, 10];
    const e = estimate(boxMesh([a, a, h]), { ...quiet, walls: 2, infillShare: 0, skinMm: 0, wallSpeed: 80, meltFlow: 1e9 }); // prettier-ignore
    // A ring of width p has the area 4 (side p - p^2), so four runs of side - p each.
    const run = (k: number): number => moveTimeS(a - 2 * k * p - p, 80, 2000);
    expect((e.parts.motionH * 3600) / 50).toBeCloseTo(4 * (run(0) + run(1)), 6);
  });

  it('is limited by the melt flow when the nozzle cannot keep up', () => {
    const slow = estimate(boxMesh([60, 60, 10]), { ...quiet, infillShare: 1, meltFlow: 2 });
    expect(slow.parts.motionH).toBe(0);
    // Volume over flow, and a little for stopping at the ends of lines.
    const least = (60 * 60 * 10) / 2 / 3600;
    expect(slow.parts.flowH).toBeGreaterThan(least);
    expect(slow.parts.flowH).toBeLessThan(least * 1.05);
  });

  it('counts layer change, heating and the least layer time', () => {
    const e = estimate(boxMesh([2, 2, 10]), { minLayerS: 8, layerChangeS: 1, heatingS: 600, infillShare: 0 }); // prettier-ignore
    expect(e.hours.likely * 3600).toBeCloseTo(600 + 50 * 9, 1);
    expect(e.hours.low).toBeLessThan(e.hours.likely);
    expect(e.hours.high).toBeCloseTo(e.hours.likely * 1.35, 9);
  });

  it('takes the factors of the machine into the hours', () => {
    const [one, two] = [1, 2].map((f) => estimate(boxMesh([30, 30, 10]), { motionFactor: f, flowFactor: f, overheadFactor: f })); // prettier-ignore
    expect(two?.hours.likely).toBeCloseTo(2 * (one?.hours.likely ?? 0), 9);
  });

  it('grows with walls and infill', () => {
    const at = (walls: number, infillShare: number): PartEstimate => estimate(ballMesh(25, 2), { walls, infillShare }); // prettier-ignore
    const [few, more, dense] = [at(2, 0.1), at(4, 0.1), at(4, 0.35)];
    expect(more.massG).toBeGreaterThan(few.massG);
    expect(dense.massG).toBeGreaterThan(more.massG);
    expect(dense.hours.likely).toBeGreaterThan(more.hours.likely);
  });
});

describe('the large torso part', () => {
  const file = new URL('../../../../fixtures/lamplighter/torso-middle.stl', import.meta.url);
  it('weighs and takes 0.7 to 1.4 times what a comparable one did on a fast large machine (2.25-2.5 kg, 60 h; common practice, no source)', () => {
    expect(existsSync(file)).toBe(true);
    const mesh = readParts(readFileSync(file), { name: 'torso-middle.stl' })[0]?.mesh;
    expect(mesh).toBeDefined();
    const workshop = new URL('../../../../fixtures/workshop.yaml', import.meta.url);
    const large = parseWorkshop(readFileSync(workshop, 'utf8')).machines.find((m) => m.envelope.name === 'large'); // prettier-ignore
    expect(large).toBeDefined();
    const e = estimate(mesh as Mesh, large?.estimate);
    expect(e.massG).toBeGreaterThan(0.7 * 2250);
    expect(e.massG).toBeLessThan(1.4 * 2500);
    expect(e.hours.likely).toBeGreaterThan(0.7 * 60);
    expect(e.hours.likely).toBeLessThan(1.4 * 60);
  });
});
