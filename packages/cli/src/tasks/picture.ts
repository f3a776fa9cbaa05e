import {
  boundsOf,
  quatToMatrix,
  ScantlingError,
  simplifyMesh,
  transformMesh,
  type Envelope,
  type LengthUnit,
  type Mesh,
  type ScanPart,
  type SplitPart,
  type Quat,
  type Vec3,
} from '@scantling/core';
import { readPartsFromFile } from '@scantling/core/node';
import { explodedPicture, type Exploded } from './picture/explode.ts';
import { cardPicture, partViews, supportPicture, type Picture } from './picture/pictures.ts';
import { packBodies, type Packed } from './picture/pack.ts';

export interface PictureSetup {
  readonly unit: LengthUnit | null;
  /** Pixels per mm of every card. */
  readonly cardPxPerMm: number;
  /** 1 full, 0.5 for kits of many parts: fewer pixels and details, so that the page stays small. */
  readonly fineness: number;
  /** Triangles of the body that can be turned around. */
  readonly triangles: number;
  readonly envelopes: readonly Envelope[];
}

/** One part of a file as other results know it. */
export interface PictureWish {
  readonly scan: ScanPart;
  readonly split: SplitPart | null;
  /** Recommended way up: rotation, then translation; null: as the scan placed it. */
  readonly way: { readonly rotation: Quat; readonly translationMm: Vec3 } | null;
}

export interface PictureJob {
  readonly path: string;
  readonly name: string;
  readonly bytes: number;
  readonly wishes: readonly PictureWish[];
}

export interface PartPictures {
  readonly card: Picture;
  readonly views: readonly Picture[];
  readonly supports: Picture | null;
  readonly exploded: Exploded | null;
  readonly solid: Packed;
  /** A coarse body for the picture of the whole figure. */
  readonly coarse: Mesh;
}

/** Draws the parts of one file, in the order of the wishes; null for a part that is not there. */
export function start(setup: PictureSetup): (job: PictureJob) => Promise<(PartPictures | null)[]> {
  return async (job) => {
    let parts;
    try {
      parts = readPartsFromFile(job.path, {
        name: job.name,
        ...(setup.unit && { unit: setup.unit }),
      });
    } catch (error) {
      if (error instanceof ScantlingError) return job.wishes.map(() => null);
      throw error;
    }
    const out: (PartPictures | null)[] = [];
    for (const [i, wish] of job.wishes.entries()) {
      const mesh = parts[i]?.mesh;
      out.push(mesh && wish.scan.size ? await pictures(mesh, wish, setup) : null);
    }
    return out;
  };
}

async function pictures(
  mesh: Mesh,
  { scan, split, way }: PictureWish,
  setup: PictureSetup,
): Promise<PartPictures> {
  const envelope = setup.envelopes.find((e) => e.name === scan.machine) ?? setup.envelopes[0];
  const rotation = way?.rotation ?? scan.rotation?.quaternion ?? [0, 0, 0, 1];
  const move = way?.translationMm ?? scan.translationMm ?? [0, 0, 0];
  const placed = onPlate(transformMesh(mesh, quatToMatrix(rotation), move));
  const exploded = await explodedPicture(mesh, split, setup.fineness);
  const bodies = exploded?.bodies ?? [{ mesh, away: [0, 0, 0] as Vec3 }];
  return {
    card: cardPicture(placed, envelope ?? null, setup.cardPxPerMm),
    views: partViews(mesh, scan, split, setup.fineness),
    supports: scan.verdict.startsWith('fits') ? supportPicture(placed, setup.fineness) : null,
    exploded: exploded?.picture ?? null,
    solid: packBodies(bodies, setup.triangles),
    coarse: simplifyMesh(mesh, 25_000),
  };
}

/** A part that fits nowhere is shown standing on the plate, its middle over the plate's. */
function onPlate(mesh: Mesh): Mesh {
  const { min, max } = boundsOf(mesh.positions);
  if (Math.abs(min[2]) < 1e-3) return mesh;
  const move: Vec3 = [-(min[0] + max[0]) / 2, -(min[1] + max[1]) / 2, -min[2]];
  return transformMesh(mesh, [1, 0, 0, 0, 1, 0, 0, 0, 1], move);
}
