import { ScantlingError } from '../errors.ts';
import { sectionFigures, type Mesh } from '../mesh/index.ts';

/** How far a print got, as the maker can tell it. */
export type Progress =
  /** Measured with a caliper, from the plate. */
  | { readonly kind: 'height'; readonly mm: number }
  | { readonly kind: 'layers'; readonly count: number }
  /** Share of the height, or of the filament, 0 to 1. */
  | { readonly kind: 'height-share' | 'filament-share'; readonly share: number };

export interface PrintedHeight {
  /** What the stump surely reaches, snapped down to a whole layer: the cut. */
  readonly cutMm: number;
  readonly layers: number;
  /** Likely height of the stump, and how far off that may be, mm. */
  readonly likelyMm: number;
  readonly plusMinusMm: number;
}

/** Uncertainty when none is given: caliper on a rough top; one layer; three hundredths of a share. */
export const UNCERTAIN = { caliperMm: 0.1, layers: 0.5, share: 0.03 } as const;

/**
 * Where to cut a print that stopped: whole layers that are surely there. What stands above is
 * sanded off the stump, which is easier than filling a gap.
 * @param mesh the part as it was printed: Z up, lowest point at z = 0
 * @throws ScantlingError `BAD_PROGRESS` for a height outside the part or less than one layer
 * A share of the filament is turned into a height by the walls' and the inside's cross-sections
 * (area x infill + outline x walls), an estimate that leaves skins and supports out.
 */
export function printedHeight(
  mesh: Mesh,
  progress: Progress,
  layerMm: number,
  recipe: { readonly wallMm: number; readonly infillShare: number },
  plusMinusMm?: number,
): PrintedHeight {
  let top = 0;
  for (let i = 2; i < mesh.positions.length; i += 3)
    top = Math.max(top, mesh.positions[i] as number);
  const likelyMm = likely(mesh, progress, layerMm, top, recipe);
  const off = plusMinusMm ?? uncertainty(progress, layerMm, top);
  const layers = Math.floor((likelyMm - off) / layerMm + 1e-6);
  if (!(likelyMm > 0 && likelyMm < top))
    throw new ScantlingError(
      'BAD_PROGRESS',
      `A printed height of ${round(likelyMm)} mm is not inside a part of ${round(top)} mm.`,
      { remedy: 'Measure from the plate, in the orientation it was printed.' },
    );
  if (layers < 1)
    throw new ScantlingError('BAD_PROGRESS', 'Less than one whole layer is surely there.', {
      remedy: 'Print it anew.',
    });
  return { cutMm: layers * layerMm, layers, likelyMm, plusMinusMm: off };
}

const round = (x: number): string => Number(x.toPrecision(4)).toString();

function uncertainty(progress: Progress, layerMm: number, top: number): number {
  if (progress.kind === 'height') return UNCERTAIN.caliperMm;
  if (progress.kind === 'layers') return UNCERTAIN.layers * layerMm;
  return UNCERTAIN.share * top;
}

function likely(
  mesh: Mesh,
  progress: Progress,
  layerMm: number,
  top: number,
  recipe: { readonly wallMm: number; readonly infillShare: number },
): number {
  switch (progress.kind) {
    case 'height':
      return progress.mm;
    case 'layers':
      return progress.count * layerMm;
    case 'height-share':
      return progress.share * top;
    case 'filament-share':
      return heightOfFilament(mesh, progress.share, top, recipe);
  }
}

/** Slices for the share of filament. */
const SLICES = 800;

function heightOfFilament(
  mesh: Mesh,
  share: number,
  top: number,
  { wallMm, infillShare }: { readonly wallMm: number; readonly infillShare: number },
): number {
  const heights = Array.from({ length: SLICES }, (_, k) => ((k + 0.5) * top) / SLICES);
  const { areaMm2, perimeterMm } = sectionFigures(mesh, [0, 0, 1], heights);
  const used = heights.map((_, k) => {
    const area = areaMm2[k] as number;
    const wall = Math.min(area, wallMm * (perimeterMm[k] as number));
    return wall + infillShare * (area - wall);
  });
  const total = used.reduce((a, b) => a + b, 0);
  let sum = 0;
  for (const [k, u] of used.entries()) {
    if (sum + u >= share * total)
      return ((k + (u > 0 ? (share * total - sum) / u : 0)) * top) / SLICES;
    sum += u;
  }
  return top;
}
