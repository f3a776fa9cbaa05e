import { checkCancelled, type Context } from '../context.ts';
import type { Envelope } from '../envelope/index.ts';
import { ScantlingError } from '../errors.ts';
import type { Joint } from '../join/index.ts';
import { massProperties, type Mesh } from '../mesh/index.ts';
import { loadKernel, type Kernel, type Solid, type Solids } from '../solid/index.ts';
import type { SplitPlan, SplitTree } from '../split/types.ts';
import { checkPiece, type PieceCheck } from './check.ts';
import { cutDirectly } from './direct.ts';
import { planeOf } from './joints.ts';
import { prepareForCut } from './prepare.ts';
import { drill, holeVolume, markTool, markVolume, type Side } from './tools.ts';

export interface CutOptions extends Context {
  /** Sink marks into the cut faces. Default true. */
  readonly marks?: boolean;
  /** The mesh comes from `prepareForCut` and need not be repaired again. Default false. */
  readonly prepared?: boolean;
  /** The machines of the plan, for the check that every piece fits. */
  readonly envelopes?: readonly Envelope[];
}

export interface CutPiece {
  readonly id: string;
  /** Closed and oriented, part coordinates, mm. */
  readonly mesh: Mesh;
  readonly volumeMm3: number;
  readonly check: PieceCheck;
}

export interface CutVolumes {
  readonly partMm3: number;
  readonly holesMm3: number;
  readonly marksMm3: number;
  readonly piecesMm3: number;
  /** |part - holes - marks - pieces| / part. */
  readonly relativeError: number;
}

/** Pieces, or why there are none: planes and dowels of the plan stand either way. */
export type CutResult =
  | {
      readonly written: true;
      readonly pieces: readonly CutPiece[];
      readonly volumes: CutVolumes;
      /** What was mended first, in plain words; empty for a sound part. */
      readonly repairs: readonly string[];
      /** Every check of every piece and the volumes hold. */
      readonly sound: boolean;
      /** Findings that a maker should know, in plain words. */
      readonly remarks: readonly string[];
    }
  | { readonly written: false; readonly because: string; readonly repairs: readonly string[] };

/** Relative; the kernel's arithmetic and our sums agree to about 1e-11 on sound parts. */
export const VOLUME_TOLERANCE = 1e-6;

/**
 * Cuts a part by the planes of a plan, drills both sides of every dowel and sinks the marks: facet
 * by facet where that is sure to be right, else in the solid kernel, whose memory is freed before
 * this returns. Every piece is then checked by
 * means of our own: closed, oriented, volumes, fit under the witness turn, holes where they
 * should be.
 * @returns `written: false` where the surface bounds no solid even after repair
 * @throws ScantlingError `CANCELLED`, `KERNEL_NOT_LOADED`
 */
export async function cutPieces(
  mesh: Mesh,
  plan: SplitPlan,
  joints: readonly Joint[],
  options: CutOptions = {},
): Promise<CutResult> {
  const kernel = await loadKernel();
  const ready = options.prepared
    ? { mesh, repairs: [], because: null }
    : await prepareForCut(mesh, options);
  const { repairs, because } = ready;
  if (because !== null) return { written: false, because, repairs };
  const marks = options.marks ?? true;
  try {
    const made =
      cutDirectly(ready.mesh, plan, joints, marks, kernel.flat, options) ??
      cutInKernel(kernel, ready.mesh, plan, joints, marks, options);
    const pieces = plan.pieces.map((piece): CutPiece => {
      const body = made.get(piece.id);
      if (!body) throw new Error(`The plan's tree has no piece ${piece.id}.`);
      const volumeMm3 = massProperties(body).volumeMm3;
      const check = checkPiece(body, piece, joints, options.envelopes ?? []);
      return { id: piece.id, mesh: body, volumeMm3, check };
    });
    const sides = joints.flatMap((joint) => SIDES.map((side) => ({ joint, side })));
    const sum = (f: (s: (typeof sides)[number]) => number): number =>
      sides.reduce((total, s) => total + f(s), 0);
    const volumes = compareVolumes(
      massProperties(ready.mesh).volumeMm3,
      sum(({ joint, side }) =>
        joint.regions.flatMap((r) => r.dowels).reduce((v, d) => v + holeVolume(d, side), 0),
      ),
      marks ? sum(({ joint, side }) => markVolume(kernel.flat, joint, side)) : 0,
      pieces.reduce((v, p) => v + p.volumeMm3, 0),
    );
    const remarks = pieces.flatMap((p) => p.check.findings.map((f) => `Piece ${p.id}: ${f}`));
    if (volumes.relativeError > VOLUME_TOLERANCE)
      remarks.push(
        `The pieces and holes differ from the part by ${volumes.relativeError.toExponential(1)} of its volume.`,
      );
    return { written: true, pieces, volumes, repairs, sound: remarks.length === 0, remarks };
  } catch (error) {
    if (error instanceof ScantlingError && REFUSALS.has(error.code))
      return { written: false, because: error.message, repairs };
    throw error;
  }
}

const SIDES: readonly Side[] = ['below', 'above'];

const REFUSALS = new Set(['NOT_CLOSED', 'NON_FINITE', 'KERNEL_FAILED']);

function compareVolumes(
  partMm3: number,
  holesMm3: number,
  marksMm3: number,
  piecesMm3: number,
): CutVolumes {
  const relativeError = Math.abs(partMm3 - holesMm3 - marksMm3 - piecesMm3) / Math.abs(partMm3);
  return { partMm3, holesMm3, marksMm3, piecesMm3, relativeError };
}

/**
 * The pieces cut, drilled and marked by the solid kernel's booleans: slower than `cutDirectly`, and
 * sure on every solid.
 * @throws ScantlingError `NOT_CLOSED`, `NON_FINITE`, `KERNEL_FAILED`, `CANCELLED`
 */
export function cutInKernel(
  kernel: Kernel,
  mesh: Mesh,
  plan: SplitPlan,
  joints: readonly Joint[],
  marks: boolean,
  context: Context = {},
): Map<string, Mesh> {
  return kernel.scope((solids) => {
    const leaves = cutTree(solids, solids.meshToSolid(mesh), plan, context);
    return new Map(
      [...leaves].map(([id, solid]) => {
        checkCancelled(context);
        return [id, solids.solidToMesh(drilled(kernel, solids, solid, id, joints, marks))];
      }),
    );
  });
}

/** The bare cuts: the leaves of the tree by piece. */
function cutTree(
  solids: Solids,
  part: Solid,
  plan: SplitPlan,
  context: Context,
): Map<string, Solid> {
  const leaves = new Map<string, Solid>();
  let done = 0;
  const walk = (tree: SplitTree, solid: Solid): void => {
    if ('piece' in tree) {
      leaves.set(tree.piece, solid);
      return;
    }
    checkCancelled(context);
    const halves = solids.splitByPlane(solid, planeOf(plan, tree.plane));
    context.progress?.(++done / (plan.cuts.length + 1), 'cuts');
    walk(tree.below, halves.below);
    walk(tree.above, halves.above);
  };
  walk(plan.tree, part);
  return leaves;
}

/** Drills and marks one piece. */
function drilled(
  kernel: Kernel,
  solids: Solids,
  solid: Solid,
  id: string,
  joints: readonly Joint[],
  marks: boolean,
): Solid {
  const tools: Solid[] = [];
  for (const joint of joints) {
    const side: Side | null = joint.below === id ? 'below' : joint.above === id ? 'above' : null;
    if (!side) continue;
    for (const dowel of joint.regions.flatMap((r) => r.dowels))
      tools.push(drill(solids, dowel, side));
    const mark = marks ? markTool(solids, kernel.flat, joint, side) : null;
    if (mark) tools.push(mark);
  }
  return tools.length > 0 ? solids.subtract(solid, tools) : solid;
}
