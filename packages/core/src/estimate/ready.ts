import type { Context } from '../context.ts';
import type { Envelope } from '../envelope/index.ts';
import { placeInYaw } from '../fit/index.ts';
import { convexHull } from '../hull/index.ts';
import { quatToMatrix, rotate, transpose, type Quat, type Vec3 } from '../math/index.ts';
import { edgeNeighbours, transformMesh, transformPositions, type Mesh } from '../mesh/index.ts';
import {
  evaluateSupports,
  rankOrientations,
  turnableBody,
  type OrientSettings,
} from '../orient/index.ts';
import { loadKernel } from '../solid/index.ts';
import { estimatePart, type PartOptions } from './part.ts';
import type { PartEstimate } from './schema.ts';
import type { EstimateSettings, Material } from './settings.ts';

export interface PrintingMachine {
  readonly envelope: Envelope;
  readonly estimate: EstimateSettings;
  readonly orient: OrientSettings;
}

/** A part made ready for one machine: p_plate = R(rotation) p_part + translationMm. */
export interface Ready {
  /** Unit quaternion x, y, z, w. */
  readonly rotation: Quat;
  /** The same turn about the fixed axes X, then Y, then Z, degrees. */
  readonly turnsDeg: Vec3;
  readonly translationMm: Vec3;
  readonly sizeMm: Vec3;
  /** Hull vertices seen from above, plate frame, mm: x, y pairs. */
  readonly shadowMm: readonly (readonly [number, number])[];
  readonly supportMm3: number;
  /** Null for an open mesh. */
  readonly estimate: PartEstimate | null;
}

export interface ReadyOptions extends Context {
  /** Keep the part as modelled where it fits so; else the way up that orient would choose. */
  readonly asModelled?: boolean;
  readonly precision?: number;
  /** Further ways up worth trying, such as that of a known placement; part coordinates. */
  readonly alsoTry?: readonly Vec3[];
}

export interface Recipe {
  readonly walls: number;
  readonly infillShare: number;
}

/**
 * Turns a part for each machine, and says what it then takes, per recipe and machine; null where it
 * fits in no way found. Machines with the same envelope and figures share the work.
 * @throws ScantlingError what `rankOrientations` throws, `KERNEL_NOT_LOADED`
 */
export async function readyPart(
  mesh: Mesh,
  machines: readonly PrintingMachine[],
  recipes: readonly Recipe[],
  material: Material,
  options: ReadyOptions = {},
): Promise<(Ready | null)[][]> {
  const kernel = await loadKernel();
  const hull = convexHull(mesh.positions);
  const ways = new Map<string, Way | null>();
  const done = new Map<string, PartEstimate | null>();
  return recipes.map((recipe) =>
    machines.map((machine) => {
      const { name: _, ...shape } = machine.envelope;
      const wayKey = JSON.stringify([shape, machine.orient]);
      if (!ways.has(wayKey)) ways.set(wayKey, wayUp(mesh, hull.positions, machine, options));
      const way = ways.get(wayKey) ?? null;
      const settings = { ...machine.estimate, ...recipe };
      return (
        way &&
        readyAt(mesh, hull.positions, way, (turned) => {
          // A turn about Z changes neither filament nor hours.
          const up = rotate(transpose(quatToMatrix(way.rotation)), [0, 0, 1]);
          const key = JSON.stringify([
            up.map((x) => Math.round(1e6 * x)),
            way.supportMm3,
            settings,
          ]);
          const supported = { ...options, supportMm3: way.supportMm3 };
          if (!done.has(key))
            done.set(key, estimatePart(turned, settings, material, kernel, supported));
          return done.get(key) ?? null;
        })
      );
    }),
  );
}

interface Way {
  readonly rotation: Quat;
  readonly translationMm: Vec3;
  readonly turnsDeg: Vec3;
  readonly sizeMm: Vec3;
  readonly supportMm3: number;
}

function wayUp(
  mesh: Mesh,
  points: Float64Array,
  { envelope, orient }: PrintingMachine,
  options: ReadyOptions,
): Way | null {
  if (options.asModelled) {
    const placed = placeInYaw(points, envelope, options);
    if (placed) {
      const supports = evaluateSupports(
        turnableBody(
          mesh,
          edgeNeighbours(mesh).every((n) => n >= 0),
        ),
        [0, 0, 1],
        orient,
      );
      return { ...placed, supportMm3: supports.volumeMm3 };
    }
  }
  const best = rankOrientations(mesh, envelope, { ...options, settings: orient, quick: true }).ways[0]; // prettier-ignore
  return best ? { ...best, supportMm3: best.supports.volumeMm3 } : null;
}

/** Hull vertices seen from above where a part stands, plate frame, mm. */
export function shadowOf(
  points: Float64Array,
  { rotation, translationMm }: Pick<Ready, 'rotation' | 'translationMm'>,
): Ready['shadowMm'] {
  const placed = transformPositions(points, quatToMatrix(rotation), translationMm);
  const shadow: [number, number][] = [];
  for (let i = 0; i < placed.length; i += 3)
    shadow.push([placed[i] as number, placed[i + 1] as number]);
  return shadow;
}

function readyAt(
  mesh: Mesh,
  points: Float64Array,
  way: Way,
  estimate: (turned: Mesh) => PartEstimate | null,
): Ready {
  const m = quatToMatrix(way.rotation);
  const turned = transformMesh(mesh, m, way.translationMm);
  return {
    rotation: way.rotation,
    turnsDeg: way.turnsDeg,
    translationMm: way.translationMm,
    sizeMm: way.sizeMm,
    shadowMm: shadowOf(points, way),
    supportMm3: way.supportMm3,
    estimate: estimate(turned),
  };
}

/**
 * Filament and hours of a part as it lies, whether or not it fits a machine; null for an open mesh.
 * @throws ScantlingError `KERNEL_NOT_LOADED`
 */
export const weighPart = async (
  mesh: Mesh,
  settings: EstimateSettings,
  material: Material,
  options: PartOptions = {},
): Promise<PartEstimate | null> =>
  estimatePart(mesh, settings, material, await loadKernel(), options);
