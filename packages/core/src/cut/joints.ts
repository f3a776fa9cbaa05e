import { checkCancelled, type Context } from '../context.ts';
import { planeSection, type Mesh, type Plane } from '../mesh/index.ts';
import {
  drilledHoles,
  openCutFace,
  proposeJoint,
  settingsFor,
  sideAbove,
  sideBelow,
  type DrilledHole,
  type HalfSpace,
  type Joint,
  type JointKeepOut,
  type JoinSettings,
  type Rod,
} from '../join/index.ts';
import { loadKernel } from '../solid/index.ts';
import type { SplitPiece, SplitPlan } from '../split/types.ts';

export interface JointsOptions extends Context {
  readonly keepOuts?: readonly JointKeepOut[];
  readonly rods?: readonly Rod[];
  /** Whether the mesh is closed, consistently oriented and free of overlaps. Default true. */
  readonly closed?: boolean;
  /** Mass that hangs from the joints, g. */
  readonly loadG?: number;
  /** Hole clearance by machine, mm, where it differs from the settings'. */
  readonly holeClearanceOn?: Readonly<Record<string, number | null>>;
}

/** The plan's plane by its name. */
export function planeOf(plan: SplitPlan, id: string): Plane {
  const plane = plan.planes.find((p) => p.id === id);
  if (!plane) throw new Error(`The plan names no plane ${id}.`);
  return plane;
}

function pieceOf(plan: SplitPlan, id: string): SplitPiece {
  const piece = plan.pieces.find((p) => p.id === id);
  if (!piece) throw new Error(`The plan names no piece ${id}.`);
  return piece;
}

/** The half-spaces that bound a piece; the plane `but` left out. */
export const pieceBounds = (plan: SplitPlan, piece: SplitPiece, but?: string): HalfSpace[] =>
  piece.within
    .filter((w) => w.plane !== but)
    .map((w) => (w.side === 'below' ? sideBelow : sideAbove)(planeOf(plan, w.plane)));

/**
 * Every joint of a plan: one for each pair of final pieces that touch in a cut, named
 * `below-above`, in the order of cutting. Holes of earlier joints are kept clear of.
 * @throws ScantlingError `BAD_STOCK`, `CANCELLED`, `KERNEL_NOT_LOADED`
 */
export async function planJoints(
  mesh: Mesh,
  plan: SplitPlan,
  settings: JoinSettings,
  options: JointsOptions = {},
): Promise<Joint[]> {
  const { flat } = await loadKernel();
  const joints: Joint[] = [];
  const drilled = new Map<string, DrilledHole[]>();
  const holesOf = (piece: string): DrilledHole[] => drilled.get(piece) ?? [];
  const letters = 1 + 2 * Math.max(...plan.pieces.map((p) => p.id.length));
  const faces = new Map<string, Awaited<ReturnType<typeof openCutFace>>>();
  for (const [i, cut] of plan.cuts.entries()) {
    checkCancelled(options);
    options.progress?.(i / plan.cuts.length, 'joints');
    const plane = planeOf(plan, cut.plane);
    const face =
      faces.get(cut.plane) ??
      (await openCutFace(
        mesh,
        plane,
        planeSection(mesh, plane),
        options.closed ?? true,
        settings,
        flat,
      ));
    faces.set(cut.plane, face);
    for (const below of cut.below)
      for (const above of cut.above) {
        const side = (id: string): { piece: string; within: HalfSpace[] } => {
          const piece = pieceOf(plan, id);
          return { piece: id, within: pieceBounds(plan, piece, cut.plane) };
        };
        const machines = [below, above].map((id) => pieceOf(plan, id).fit.envelope);
        const joint = proposeJoint(
          face,
          {
            id: `${below}-${above}`,
            cut: cut.id,
            below: side(below),
            above: side(above),
            keepOuts: options.keepOuts ?? [],
            rods: options.rods ?? [],
            holes: [...holesOf(below), ...holesOf(above)],
            markLetters: letters,
            ...(options.loadG !== undefined && { loadG: options.loadG }),
          },
          settingsFor(settings, machines, options.holeClearanceOn),
          options,
        );
        if (!joint) continue;
        joints.push(joint);
        for (const piece of [below, above])
          drilled.set(piece, [...holesOf(piece), ...drilledHoles(joint)]);
      }
  }
  return joints;
}
