import { describe, expect, it } from 'vitest';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { inspectPart } from '../../src/inspect/index.ts';
import { joinSettingsSchema } from '../../src/join/index.ts';
import { boundsOf, boxMesh, cylinderMesh, joinMeshes, massProperties, meshFrom, type Mesh } from '../../src/mesh/index.ts'; // prettier-ignore
import { printedHeight, salvagePart, salvageSchema, skinAt, type SalvageRequest } from '../../src/salvage/index.ts'; // prettier-ignore

const machine = boxEnvelope(220, 220, 250);
const recipe = { wallMm: 1.6, infillShare: 0.2 };
const request = (more: Partial<SalvageRequest>): SalvageRequest => ({
  file: 'part.stl',
  stem: 'part',
  printed: { kind: 'height', mm: 43.07 },
  layerMm: 0.2,
  recipe,
  join: joinSettingsSchema.parse({}),
  ...more,
});

/** Square pyramid on its base: everything about it is a closed form of the height. */
const pyramid = (a: number, h: number): Mesh =>
  meshFrom(
    [[-a, -a, 0], [a, -a, 0], [a, a, 0], [-a, a, 0], [0, 0, h]],
    [[0, 2, 1], [0, 3, 2], [0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]],
  ); // prettier-ignore

describe('printedHeight', () => {
  it('snaps down to whole layers that are surely there', () => {
    const box = boxMesh([20, 20, 100]);
    expect(printedHeight(box, { kind: 'height', mm: 43.07 }, 0.2, recipe)).toMatchObject({ layers: 214 }); // prettier-ignore
    expect(printedHeight(box, { kind: 'height', mm: 43.07 }, 0.2, recipe, 0).layers).toBe(215);
    expect(printedHeight(box, { kind: 'layers', count: 215 }, 0.2, recipe, 0).cutMm).toBeCloseTo(43, 9); // prettier-ignore
    expect(printedHeight(box, { kind: 'height-share', share: 0.5 }, 0.25, recipe, 0).layers).toBe(200); // prettier-ignore
  });

  it('turns a share of solid filament into the height of the closed form', () => {
    // A pyramid holds 1 - (1 - z/h)^3 of its volume below z.
    for (const share of [0.2, 0.5, 0.875, 0.99]) {
      const { likelyMm } = printedHeight(pyramid(30, 120), { kind: 'filament-share', share }, 0.2, { wallMm: 0, infillShare: 1 }, 0); // prettier-ignore
      expect(likelyMm).toBeCloseTo(120 * (1 - Math.cbrt(1 - share)), 1);
    }
  });

  it('refuses what cannot be', () => {
    const box = boxMesh([20, 20, 100]);
    expect(() => printedHeight(box, { kind: 'height', mm: 120 }, 0.2, recipe)).toThrow(
      'not inside',
    );
    expect(() => printedHeight(box, { kind: 'height', mm: 0.2 }, 0.2, recipe)).toThrow('one whole layer'); // prettier-ignore
  });
});

describe('skinAt', () => {
  it('knows a pyramid: its outline and lean in closed form', () => {
    const skin = skinAt(pyramid(30, 40), 20);
    expect(skin.outlineMm).toBeCloseTo(4 * 30, 9);
    expect(skin.steepestDeg).toBeCloseTo((Math.atan2(30, 40) * 180) / Math.PI, 9);
    expect(skin.slantedShare).toBe(1);
    expect(skinAt(boxMesh([10, 10, 10]), 5)).toEqual({ outlineMm: 40, slantedShare: 0, steepestDeg: 0 }); // prettier-ignore
  });
});

describe('salvagePart', () => {
  it('gives the rest above the cut, flat on the plate, sound, with its volume less the holes', async () => {
    const { result, remainder, files } = await salvagePart(boxMesh([60, 40, 100], [5, 5, 7]), machine, request({})); // prettier-ignore
    expect(salvageSchema.parse(result)).toEqual(result);
    expect(result).toMatchObject({ written: true, sound: true, printed: { layers: 214 } });
    const rest = remainder as Mesh;
    expect(inspectPart(rest).verdict).toBe('sound');
    expect(boundsOf(rest.positions).min[2]).toBe(0);
    expect(boundsOf(rest.positions).max[2]).toBeCloseTo(100 - 42.8, 9);
    const dowels = result.joints.flatMap((j) => j.regions).flatMap((r) => r.dowels);
    expect(dowels.length).toBeGreaterThanOrEqual(2);
    const holes = dowels.reduce((v, d) => v + (Math.PI * d.holeDiameterMm ** 2 * d.depthAboveMm) / 4, 0); // prettier-ignore
    const volume = massProperties(rest).volumeMm3;
    // The drilled holes are prisms about the circle: up to one in a hundred larger than it.
    expect(60 * 40 * 57.2 - volume).toBeGreaterThan(0.99 * holes);
    expect(60 * 40 * 57.2 - volume).toBeLessThan(1.03 * holes);
    expect(files.map((f) => f.name)).toContain('part.rest.stl');
    expect(files.some((f) => f.name.endsWith('.pdf'))).toBe(true);
  });

  it('cuts in the orientation it was printed in', async () => {
    const lying = cylinderMesh(30, 150, 96);
    const { result, remainder } = await salvagePart(lying, machine, request({ turnsDeg: [90, 0, 0], printed: { kind: 'layers', count: 150 }, plusMinusMm: 0, dowels: false })); // prettier-ignore
    // Half of a lying cylinder of radius 30 is printed at 30 mm.
    expect(result.printed.cutMm).toBeCloseTo(30, 9);
    expect(result.saved.share).toBeCloseTo(0.5, 6);
    expect(massProperties(remainder as Mesh).volumeMm3).toBeCloseTo(massProperties(lying).volumeMm3 / 2, 3); // prettier-ignore
    expect(result.joints).toEqual([]);
  });

  it('says what to do where walls are thin, and where the cut meets several places', async () => {
    const legs = joinMeshes([boxMesh([2, 30, 80]), boxMesh([2, 30, 80], [40, 0, 0])]);
    const { result } = await salvagePart(legs, machine, request({}));
    expect(result.cutFace.regions).toBe(2);
    expect(result.cutFace.leastThicknessMm).toBeCloseTo((2 * 60) / 64, 6);
    expect(result.advice.join(' ')).toMatch(/down to 1.8\d mm.*strip/);
    expect(result.advice.join(' ')).toContain('2 separate places');
  });
});
