import type { Vec3 } from '../math/index.ts';

/**
 * The space a machine can print in. Frame (ISO/ASTM 52921): the origin is the middle of the build
 * platform's upper face, Z points up, lengths in mm. A polygonal plate keeps the coordinates it is
 * given in.
 */
export type Plate =
  | { readonly shape: 'box'; readonly widthMm: number; readonly depthMm: number }
  | { readonly shape: 'round'; readonly diameterMm: number }
  | {
      readonly shape: 'polygon';
      /** Convex outline, counter-clockwise. */
      readonly outlineMm: readonly (readonly [number, number])[];
    };

/** A box that a part must stay out of: a purge corner, a clip. Envelope frame. */
export interface KeepOut {
  readonly name: string;
  readonly minMm: Vec3;
  readonly maxMm: Vec3;
}

/** Build envelope of one machine, before margins. */
export interface Envelope {
  readonly name: string;
  readonly plate: Plate;
  readonly heightMm: number;
  /** Kept free all round the plate's edge (brim, clips) and below the top. */
  readonly marginSideMm: number;
  readonly marginTopMm: number;
  readonly keepOuts: readonly KeepOut[];
}

/** A rectangular envelope without margins or keep-outs. */
export const boxEnvelope = (
  widthMm: number,
  depthMm: number,
  heightMm: number,
  name = `${widthMm}x${depthMm}x${heightMm}`,
): Envelope => ({
  name,
  plate: { shape: 'box', widthMm, depthMm },
  heightMm,
  marginSideMm: 0,
  marginTopMm: 0,
  keepOuts: [],
});
