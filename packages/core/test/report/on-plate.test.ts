import { describe, expect, it } from 'vitest';
import { boxEnvelope, type Envelope } from '../../src/envelope/index.ts';
import { JOIN_DEFAULTS } from '../../src/join/index.ts';
import {
  boundsOf,
  boxMesh,
  massProperties,
  torusMesh,
  type Mesh,
  type Plane,
} from '../../src/mesh/index.ts';
import { supportTruth } from '../../src/orient/index.ts';
import { readParts } from '../../src/read/index.ts';
import { splitPart, type OutFile } from '../../src/report/index.ts';
import { wallsOf } from './walls.ts';

const pieces = (files: readonly OutFile[], ending: string): Map<string, Mesh> =>
  new Map(
    files
      .filter((f) => f.name.endsWith(ending) && f.name.includes('.piece-'))
      .map((f) => [f.name.slice(0, -ending.length), readParts(f.data as Uint8Array)[0]?.mesh as Mesh]),
  ); // prettier-ignore

/** Supports as the part lies, by rays through a tree of boxes (three-mesh-bvh). */
const supports = async (mesh: Mesh): Promise<number> =>
  (await supportTruth(mesh))([0, 0, 1], { selfSupportDeg: 45, rays: 20_000 });

describe('pieces written ready to print', () => {
  const x = (offsetMm: number): Plane => ({ normal: [1, 0, 0], offsetMm });
  const bodies: [string, Mesh, Envelope, Plane[]][] = [
    ['a ring', torusMesh(110, 22, 32, 14), boxEnvelope(150, 280, 150), [x(7)]],
    ['a bracket', wallsOf(260, 120, 160, 14), boxEnvelope(180, 180, 120), [x(110)]],
    ['a bar', boxMesh([500, 60, 40], [70, -300, 15]), boxEnvelope(220, 220, 250), [x(230), x(400)]],
  ];
  it.each(bodies.map(([name, mesh, envelope, planes]) => ({ name, mesh, envelope, planes })))(
    'stand inside the envelope, base at 0, with no more supports than as cut: $name',
    async ({ mesh, envelope, planes }) => {
      const names = { file: 'body.stl', part: null, stem: 'body' };
      const options = { join: JOIN_DEFAULTS, cut: true, split: { planes } };
      const lying = await splitPart(mesh, names, [envelope], options);
      const standing = await splitPart(mesh, names, [envelope], { ...options, onPlate: true });
      const asCut = pieces(lying.files, '.stl');
      const stl = pieces(standing.files, '.stl');
      const threeMf = pieces(standing.files, '.3mf');
      const told = standing.part.files?.onPlate ?? [];
      expect(lying.part.files?.onPlate).toBeNull();
      expect(stl.size).toBeGreaterThan(1);
      expect([...threeMf.keys()]).toEqual([...stl.keys()]);
      expect(told.map((t) => `body.piece-${t.piece}`)).toEqual([...stl.keys()]);
      const { plate, heightMm } = envelope;
      if (plate.shape !== 'box') throw new Error('a box is wanted');
      const half = [plate.widthMm / 2, plate.depthMm / 2] as const;
      for (const [i, [name, piece]] of [...stl].entries()) {
        const corner = threeMf.get(name) as Mesh;
        // Single precision in the STL: 1e-4 mm; 3MF starts at the plate's front left corner.
        for (const [body, dx, dy] of [[piece, 0, 0], [corner, ...half]] as const) {
          const { min, max } = boundsOf(body.positions);
          expect(Math.abs(min[2])).toBeLessThan(1e-4);
          expect(max[2]).toBeLessThan(heightMm + 1e-4);
          expect(min[0] - dx).toBeGreaterThan(-half[0] - 1e-4);
          expect(max[0] - dx).toBeLessThan(half[0] + 1e-4);
          expect(min[1] - dy).toBeGreaterThan(-half[1] - 1e-4);
          expect(max[1] - dy).toBeLessThan(half[1] + 1e-4);
        }
        const before = asCut.get(name) as Mesh;
        const volume = massProperties(before).volumeMm3;
        expect(massProperties(piece).volumeMm3 / volume).toBeCloseTo(1, 5);
        expect(massProperties(corner).volumeMm3 / volume).toBeCloseTo(1, 5);
        const [now, was] = [await supports(piece), await supports(before)];
        expect(now).toBeLessThanOrEqual(1.01 * was + 1e-3 * volume);
        const said = told[i];
        expect(said?.by).toBe('ranking');
        // Bridges, which rays do not know, spare some: the figure told is no more than the rays'.
        expect(said?.supportsMm3).toBeLessThanOrEqual(1.01 * now + 1e-3 * volume);
      }
    },
    20_000,
  ); // prettier-ignore
});
