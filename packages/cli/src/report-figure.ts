import type { Kit, Mesh, Vec3, Workshop } from '@scantling/core';
import { baseOf, placesOf, standingFigure } from './balance-run.ts';
import { cacheFolder, cacheKey, keptOr } from './cache.ts';
import type { Io } from './io.ts';
import type { FigureModel, PagePart } from './render/page/model.ts';
import { unpackBodies } from './tasks/picture/pack.ts';
import { version } from './version.ts';

/**
 * The figure from the kit's places with its balance, as `scantling balance` tells it; null without
 * parts. Pictures are of coarse bodies, the balance is of the parts themselves.
 */
export async function figureOf(
  io: Io,
  kit: Kit,
  folder: string,
  parts: readonly PagePart[],
  workshop: Workshop,
  options: { readonly jobs: number; readonly cache: boolean },
): Promise<FigureModel | null> {
  const core = await import('@scantling/core');
  const known = kit.parts.flatMap((k) => {
    const part = parts.find((p) => sameFile(p.scan.file, k.file));
    // The scan may have taken a file without a unit as mm; the kit knows better.
    const unit = part?.scan.unit?.from === 'assumed' ? core.MM_PER_UNIT[k.unit] : 1;
    return part?.pictures?.inFigure ? [{ k, unit, packed: part.pictures.inFigure }] : [];
  });
  if (!known.length) return null;
  const { bodies, unknown } = await standingFigure(io, kit, folder, workshop, options);
  const balance = bodies.length ? balanced() : null;
  const asked = ['figure', version(), known.map(({ k, unit, packed }) => [packed, unit, k.place]), kit.base, balance?.centreMm]; // prettier-ignore
  const cache = options.cache ? cacheFolder(io.env) : null;
  const { views, heightMm } = await keptOr(cache, () => cacheKey('', asked), () => Promise.resolve(drawn())); // prettier-ignore
  const shown = new Set(known.map(({ k }) => k.file));
  return {
    views,
    balance,
    heightMm: balance?.heightMm ?? heightMm,
    missing: kit.parts.filter((k) => k.quantity > 0 && !shown.has(k.file)).map((k) => k.file),
    unknown: unknown.map((u) => u.name),
  };

  /** Three views of the bodies where they stand: seconds for a large kit, so they are kept. */
  function drawn(): Pick<FigureModel, 'views' | 'heightMm'> {
    const meshes = known.flatMap(({ k, unit, packed }): Mesh[] => {
      const coarse = unpackBodies(packed);
      const own = unit === 1 ? coarse : core.scaleMesh(coarse, unit);
      return placesOf(k).map(({ turn, move }) => core.transformMesh(own, core.quatToMatrix(core.quatFromTurnsDeg(turn)), move)); // prettier-ignore
    });
    const floor = core.boundsOf(core.joinMeshes(meshes).positions).min[2];
    if (kit.base) {
      const { outline, height } = kit.base;
      meshes.push(core.transformMesh(core.prismMesh(outline, height), ONE, [0, 0, floor - height]));
    }
    const whole = core.joinMeshes(meshes);
    const box = core.boundsOf(whole.positions);
    const drawable = core.drawableOf(whole);
    const pxPerMm = Math.min(460 / (box.max[2] - box.min[2]), 330 / (box.max[0] - box.min[0]), 300 / (box.max[1] - box.min[1])); // prettier-ignore
    const views = (['front', 'right', 'iso'] as const).map((name) => {
      const view = core.VIEWS[name];
      const drawing = core.sparser(
        core.drawView(drawable, view, { detailMm: 0.7 / pxPerMm }),
        9000,
      );
      const wash = core.washOf(whole, view, pxPerMm);
      const made = core.viewBody(drawing, { pxPerMm, linePx: 1, marginPx: 5, wash });
      const k = 8 * pxPerMm;
      const c = balance?.centreMm;
      // The balance measures from the floor, the drawing in the frame of the figure.
      const at: Vec3 | null = c ? [c[0], c[1], c[2] + box.min[2]] : null;
      const centre = at && ([
        Math.round((core.dot(at, view.right) - drawing.minMm[0]) * k) + 40,
        Math.round((drawing.maxMm[1] - core.dot(at, view.up)) * k) + 40,
      ] as const); // prettier-ignore
      return { name, ...made, pxPerMm, centre };
    });
    return { views, heightMm: box.max[2] - box.min[2] };
  }

  function balanced(): FigureModel['balance'] {
    try {
      return core.balanceFigure(bodies, { base: baseOf(kit), unknown });
    } catch (error) {
      if (error instanceof core.ScantlingError) return null;
      throw error;
    }
  }
}

const ONE = [1, 0, 0, 0, 1, 0, 0, 0, 1] as const;

const sameFile = (a: string, b: string): boolean =>
  a === b || a.split('/').at(-1) === b.split('/').at(-1);
