import {
  boundsInView,
  boundsOf,
  cutPieces,
  drawableOf,
  joinMeshes,
  simplifyMesh,
  transformMesh,
  VIEWS,
  type Mesh,
  type SpaceLine,
  type SplitPart,
  type SplitPlan,
  type Vec3,
} from '@scantling/core';
import { pictureOf, type Means, type Picture } from './pictures.ts';

export interface Exploded extends Picture {
  /** Where each piece's number goes, in the units of the picture. */
  readonly labels: readonly { readonly id: string; readonly x: number; readonly y: number }[];
}

export interface Body {
  readonly mesh: Mesh;
  /** How far it moves when the pieces are fully apart, mm. */
  readonly away: Vec3;
}

/** Gaps between pieces pulled apart, as a share of the distance of their middles from the part's. */
const APART = 0.45;

/**
 * The pieces of a split pulled apart, dowels' axes as centre lines; null when the part is not split
 * or its pieces can't be made (an open mesh).
 */
export async function explodedPicture(
  mesh: Mesh,
  split: SplitPart | null,
  drawn: number,
  means: Means,
): Promise<{ readonly picture: Exploded; readonly bodies: readonly Body[] } | null> {
  const plan = split?.plans[0] as SplitPlan | undefined;
  if (!split || !plan || plan.pieces.length < 2) return null;
  const cut = await cutPieces(mesh, plan, split.joints, { marks: false });
  if (!cut.written) return null;
  const middle = middleOf(mesh);
  const bodies = cut.pieces.map((piece) => {
    const c = middleOf(piece.mesh);
    const away = c.map((x, i) => (x - (middle[i] as number)) * APART) as unknown as Vec3;
    return {
      id: piece.id,
      mesh: simplifyMesh(piece.mesh, Math.ceil(drawn / cut.pieces.length)),
      away,
    };
  });
  const apart = bodies.map((b) => transformMesh(b.mesh, [1, 0, 0, 0, 1, 0, 0, 0, 1], b.away));
  const whole = joinMeshes(apart);
  const view = VIEWS.iso;
  const drawable = drawableOf(whole);
  const away = new Map(bodies.map((b) => [b.id, b.away]));
  const extra = dowelAxes(split, away);
  const { minMm, maxMm } = boundsInView(whole.positions, view);
  const pxPerMm = Math.min(370 / (maxMm[0] - minMm[0] || 1), 350 / (maxMm[1] - minMm[1] || 1));
  const { drawing, ...made } = pictureOf(drawable, view, { pxPerMm, linePx: 1.3, extra, shade: { mesh: whole }, share: 1 }, means); // prettier-ignore
  const k = 8 * pxPerMm;
  const labels = apart.map((m, i) => {
    const c = middleOf(m);
    const on = (axis: Vec3): number => c[0] * axis[0] + c[1] * axis[1] + c[2] * axis[2];
    return {
      id: bodies[i]?.id ?? '',
      x: Math.round((on(view.right) - drawing.minMm[0]) * k) + 40,
      y: Math.round((drawing.maxMm[1] - on(view.up)) * k) + 40,
    };
  });
  return {
    picture: { name: 'exploded', ...made, marks: [], labels },
    bodies,
  };
}

/** From each dowel's mouth in one piece to its mouth in the other. */
function dowelAxes(split: SplitPart, away: ReadonlyMap<string, Vec3>): SpaceLine[] {
  return split.joints.flatMap((joint) =>
    joint.regions.flatMap((region) =>
      region.dowels.map((dowel): SpaceLine => {
        const a = away.get(joint.below) ?? [0, 0, 0];
        const b = away.get(joint.above) ?? [0, 0, 0];
        const c = dowel.centreMm;
        return {
          kind: 'centre',
          points: [c[0] + a[0], c[1] + a[1], c[2] + a[2], c[0] + b[0], c[1] + b[1], c[2] + b[2]],
        };
      }),
    ),
  );
}

function middleOf(mesh: Mesh): Vec3 {
  const { min, max } = boundsOf(mesh.positions);
  return [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2];
}
