import { z } from 'zod';
import type { Context } from '../context.ts';
import type { CutPiece } from '../cut/index.ts';
import type { Envelope } from '../envelope/index.ts';
import { quatToMatrix, type Quat, type Vec3 } from '../math/index.ts';
import { boundsOf, transformMesh, type Mesh } from '../mesh/index.ts';
import { DEFAULT_ORIENT_SETTINGS, rankOrientations, type OrientSettings } from '../orient/index.ts';
import type { SplitPlan } from '../split/index.ts';

const point3 = z.tuple([z.number(), z.number(), z.number()]);

/** How one piece stands on its machine: p_machine = R(rotation) p_part + translationMm. */
export const standingPieceSchema = z.strictObject({
  piece: z.string(),
  envelope: z.string().describe('Machine it stands in'),
  by: z
    .enum(['ranking', 'witness', 'nothing'])
    .describe(
      'ranking: the best way up; witness: only the way up that proves its fit has room; nothing: no place known, it stands in the middle as in the file',
    ),
  rotation: z.tuple([z.number(), z.number(), z.number(), z.number()]).describe('Unit quaternion x, y, z, w'),
  turnsDeg: point3.describe('Turns about the fixed axes, X first, then Y, then Z, degrees'),
  translationMm: point3.describe('Move after the turns, mm'),
  supportsMm3: z.number().nullable().describe('Supports so, mm3, an estimate; null: not measured'),
  asCutSupportsMm3: z.number().nullable().describe('Supports the way up it has in the part, mm3'),
  steady: z.boolean().nullable().describe('Stands steadily while it grows; null: not measured'),
}); // prettier-ignore
export type StandingPiece = z.infer<typeof standingPieceSchema>;

export interface StandOptions extends Context {
  /** Per envelope, in its order. Default: all defaults. */
  readonly orient?: readonly OrientSettings[];
}

/**
 * Each piece turned to the way up that `rankOrientations` recommends on the machine that the plan
 * gives it, and placed inside the envelope with its base at 0. The way up of the plan's witness is
 * among those tried, so a certified piece always has a place.
 * @returns in the order of `pieces`; meshes in the envelope's frame, mm
 * @throws ScantlingError `CANCELLED`
 */
export function standPieces(
  pieces: readonly CutPiece[],
  plan: SplitPlan,
  envelopes: readonly Envelope[],
  options: StandOptions = {},
): { readonly standing: StandingPiece; readonly mesh: Mesh }[] {
  return pieces.map((piece) => {
    const fit = plan.pieces.find((p) => p.id === piece.id)?.fit;
    const at = Math.max(0, envelopes.findIndex((e) => e.name === fit?.envelope));
    const envelope = envelopes[at] as Envelope;
    const witness = fit?.placement ?? null;
    const turned = witness && quatToMatrix(witness.rotation);
    const ranked = rankOrientations(piece.mesh, envelope, {
      ...(options.signal && { signal: options.signal }),
      settings: options.orient?.[at] ?? DEFAULT_ORIENT_SETTINGS,
      count: 3,
      ...(turned && { alsoTry: [[turned[6], turned[7], turned[8]]] }),
    });
    const [best] = ranked.ways;
    const place = best ?? witness ?? middle(piece.mesh);
    const standing: StandingPiece = {
      piece: piece.id,
      envelope: envelope.name,
      by: best ? 'ranking' : witness ? 'witness' : 'nothing',
      rotation: [...place.rotation] as [...Quat],
      turnsDeg: [...place.turnsDeg] as [...Vec3],
      translationMm: [...place.translationMm] as [...Vec3],
      supportsMm3: best?.supports.volumeMm3 ?? null,
      asCutSupportsMm3: ranked.asModelledSupportsMm3,
      steady: best?.steady ?? null,
    };
    const mesh = transformMesh(piece.mesh, quatToMatrix(standing.rotation), standing.translationMm);
    return { standing, mesh };
  });
} // prettier-ignore

/** As it lies, on the middle of the plate. */
function middle(mesh: Mesh): { rotation: Quat; turnsDeg: Vec3; translationMm: Vec3 } {
  const { min, max } = boundsOf(mesh.positions);
  return {
    rotation: [0, 0, 0, 1],
    turnsDeg: [0, 0, 0],
    translationMm: [-(min[0] + max[0]) / 2, -(min[1] + max[1]) / 2, -min[2]],
  };
}

/**
 * The move from the envelope's frame, whose origin is the middle of the plate, to that of 3MF, whose
 * plate begins at the origin and lies along positive X and Y (Core Specification, from memory).
 */
export function toPlateCorner({ plate }: Envelope): Vec3 {
  if (plate.shape === 'box') return [plate.widthMm / 2, plate.depthMm / 2, 0];
  if (plate.shape === 'round') return [plate.diameterMm / 2, plate.diameterMm / 2, 0];
  const least = (k: 0 | 1): number => Math.min(...plate.outlineMm.map((p) => p[k]));
  return [-least(0), -least(1), 0];
}
