import {
  boundsOf,
  createReadBuffers,
  drawableOf,
  movedDrawable,
  quatToMatrix,
  ScantlingError,
  simplifyMesh,
  transformMesh,
  type LengthUnit,
  type Mesh,
  type PartEstimate,
  type OrientResult,
  type SplitPart,
  type Vec3,
} from '@scantling/core';
import { readPartsFromFile } from '@scantling/core/node';
import { cacheKey, contentHash, readCache, writeCache } from '../cache.ts';
import { explodedPicture, type Exploded } from './picture/explode.ts';
import { factsOf, type FactsSetup, type FactsWish } from './picture/facts.ts';
import { cardPicture, partViews, supportPicture, type Means, type Picture } from './picture/pictures.ts'; // prettier-ignore
import { packBodies, type Packed } from './picture/pack.ts';

/** What all pictures of one page have in common. */
export interface Look {
  /** Pixels per mm of every card. */
  readonly cardPxPerMm: number;
  readonly means: Means;
  /** Parts of more triangles than this are drawn from a coarser body. */
  readonly drawn: number;
  /** Triangles of the body that can be turned around; 0: none. */
  readonly turned: number;
  /** Triangles of the part in the picture of the whole figure; 0: there is none. */
  readonly inFigure: number;
}

export interface PictureSetup extends FactsSetup {
  readonly look: Look;
  /** Null: no cache. */
  readonly cacheFolder: string | null;
  readonly version: string;
}

/** One part of a file as other results know it. */
export interface PictureWish extends FactsWish {
  readonly split: SplitPart | null;
}

export interface PictureJob {
  readonly path: string;
  readonly name: string;
  readonly bytes: number;
  /** In which the scan was told to take its numbers; null: as the file says, else mm. */
  readonly unit: LengthUnit | null;
  readonly wishes: readonly PictureWish[];
}

export interface PartPictures {
  readonly card: Picture;
  readonly views: readonly Picture[];
  readonly supports: Picture | null;
  readonly exploded: Exploded | null;
  readonly solid: Packed | null;
  /** A coarse body for the picture of the whole figure. */
  readonly inFigure: Packed | null;
  /** Triangles of the body that the pictures were drawn from, where it is a coarser one. */
  readonly drawnFrom: number | null;
}

/** What the page needs of one part beyond the results at hand. */
export interface PartAnswer {
  readonly orient: OrientResult | null;
  readonly estimate: PartEstimate | null;
  readonly because: string | null;
  readonly pictures: PartPictures | null;
}

/**
 * Judges and draws the parts of one file, in the order of the wishes; null for a part that is not
 * there. Ways up, weights and pictures are kept by what they were made from, each for itself: new
 * settings of the page draw anew, but don't weigh anew.
 */
export function start(setup: PictureSetup): (job: PictureJob) => Promise<(PartAnswer | null)[]> {
  const { cacheFolder, version } = setup;
  const chunk = new Uint8Array(1 << 20);
  const buffers = createReadBuffers();

  return async (job) => {
    let parts: { readonly mesh: Mesh }[] | undefined;
    /** Read when first needed: the cache may hold everything. */
    const meshOf = (i: number): Mesh | null => {
      parts ??= readPartsFromFile(job.path, {
        name: job.name,
        ...(job.unit && { unit: job.unit }),
        ...(job.wishes.length === 1 && { buffers }),
      });
      return parts[i]?.mesh ?? null;
    };
    const content = cacheFolder === null ? '' : contentHash(job.path, chunk);
    const kept = async <T>(asked: unknown[], make: () => Promise<T | null>): Promise<T | null> => {
      if (cacheFolder === null) return make();
      const key = cacheKey(content, [...asked, version, job.unit]);
      const old = (await readCache(cacheFolder, key)) as T | undefined;
      if (old !== undefined) return old;
      const made = await make();
      if (made !== null) await writeCache(cacheFolder, key, made);
      return made;
    };
    const out: (PartAnswer | null)[] = [];
    for (const [i, wish] of job.wishes.entries()) {
      const { split: _, ...forFacts } = wish;
      const { machines, materials } = setup;
      try {
        const facts = await kept(['facts', i, forFacts, machines, materials], async () => {
          const mesh = meshOf(i);
          return mesh && factsOf(mesh, wish, setup);
        });
        const asked = ['pictures', i, wish, facts?.orient ?? null, setup.look, machines];
        const drawn = await kept(asked, async () => {
          const mesh = meshOf(i);
          return mesh && pictures(mesh, wish, facts?.orient ?? null, setup);
        });
        out.push(facts && { ...facts, pictures: drawn });
      } catch (error) {
        if (!(error instanceof ScantlingError)) throw error;
        out.push({ orient: null, estimate: null, because: error.message, pictures: null });
      }
    }
    return out;
  };
}

async function pictures(
  mesh: Mesh,
  { scan, split }: PictureWish,
  orient: OrientResult | null,
  { machines, look }: PictureSetup,
): Promise<PartPictures> {
  const machine = machines.find((m) => m.envelope.name === scan.machine) ?? machines[0];
  const way = orient?.ways[0];
  const rotation = way?.rotation ?? scan.rotation?.quaternion ?? [0, 0, 0, 1];
  const move = way?.translationMm ?? scan.translationMm ?? [0, 0, 0];
  const { means } = look;
  const exploded = await explodedPicture(mesh, split, look.drawn, means);
  const coarse = simplifyMesh(mesh, look.drawn);
  const body = drawableOf(coarse);
  const placed = movedDrawable(body, onPlate(transformMesh(coarse, quatToMatrix(rotation), move)));
  const still: Vec3 = [0, 0, 0];
  const supported = scan.verdict.startsWith('fits') && machine;
  return {
    card: cardPicture(placed, machine?.envelope ?? null, look.cardPxPerMm, means),
    views: partViews(body, scan, split, means),
    supports: supported ? supportPicture(placed, machine.orient, means) : null,
    exploded: exploded?.picture ?? null,
    solid: look.turned > 0 ? packBodies(exploded?.bodies ?? [{ mesh: coarse, away: still }], look.turned, mesh) : null,
    inFigure: look.inFigure > 0 ? packBodies([{ mesh: coarse, away: still }], look.inFigure, mesh) : null,
    drawnFrom: coarse === mesh ? null : coarse.triangles.length / 3,
  };
} // prettier-ignore

/** A part that fits nowhere is shown standing on the plate, its middle over the plate's. */
function onPlate(mesh: Mesh): Mesh {
  const { min, max } = boundsOf(mesh.positions);
  if (Math.abs(min[2]) < 1e-3) return mesh;
  const move: Vec3 = [-(min[0] + max[0]) / 2, -(min[1] + max[1]) / 2, -min[2]];
  return transformMesh(mesh, [1, 0, 0, 0, 1, 0, 0, 0, 1], move);
}
