import type { Context } from '../context.ts';
import { cutPieces, drillTemplates, planJoints, prepareForCut } from '../cut/index.ts';
import type { Envelope } from '../envelope/index.ts';
import type { JoinSettings } from '../join/index.ts';
import { quatFromTurnsDeg, quatToMatrix, type Vec3 } from '../math/index.ts';
import { boundsOf, massProperties, transformMesh, transformPositions, type Mesh } from '../mesh/index.ts'; // prettier-ignore
import { proposeSplit, type Seam } from '../split/index.ts';
import { writeBinaryStl } from '../write/index.ts';
import { printedHeight, type PrintedHeight, type Progress } from './height.ts';
import { skinAt, type SkinAtCut } from './place.ts';
import type { Salvage } from './schema.ts';

export interface SalvageRequest {
  readonly file: string;
  /** Begins the names of all files. */
  readonly stem: string;
  readonly printed: Progress;
  readonly layerMm: number;
  /** How far off the printed height may be, mm; default by kind, see `UNCERTAIN`. */
  readonly plusMinusMm?: number;
  /** The orientation it was printed in. Default as modelled. */
  readonly turnsDeg?: Vec3;
  /** Thickness of the walls and infill share, for a share of the filament. */
  readonly recipe: { readonly wallMm: number; readonly infillShare: number };
  /** Locating dowels between stump and new piece. Default true. */
  readonly dowels?: boolean;
  readonly join: JoinSettings;
}

export interface Salvaged {
  readonly result: Salvage;
  readonly files: readonly { readonly name: string; readonly data: Uint8Array | string }[];
  /** The part as printed, and what is left to print, flat on the plate; null when not cut. */
  readonly whole: Mesh;
  readonly remainder: Mesh | null;
}

export const SALVAGE_CAUTIONS: readonly string[] = [
  'Let the machine cool before reaching in, and find out why the print stopped before the next one.',
  'Sanding dust and adhesive fumes harm lungs, eyes and skin: mask, glasses, gloves and fresh air, as the makers of sandpaper and adhesive say.',
  'A glued print is weaker there: not for parts that carry loads or hang over people.',
];

/**
 * The rest of a print that stopped, as a piece of its own: cut at the last whole layer that is
 * surely there, flat side down, drilled for locating dowels where they fit, checked. Grams and
 * hours are left to the caller, who knows the machine.
 * @param mesh the part as in its file, mm
 * @throws ScantlingError `BAD_PROGRESS`, `CANCELLED`, `KERNEL_NOT_LOADED`, `BAD_STOCK`
 */
export async function salvagePart(
  mesh: Mesh,
  envelope: Envelope,
  request: SalvageRequest,
  context: Context = {},
): Promise<Salvaged> {
  const turnsDeg = request.turnsDeg ?? [0, 0, 0];
  const whole = onPlate(mesh, turnsDeg);
  const printed = printedHeight(whole, request.printed, request.layerMm, request.recipe, request.plusMinusMm); // prettier-ignore
  const ready = await prepareForCut(whole, context);
  const body = ready.because === null ? ready.mesh : whole;
  const plane = { normal: [0, 0, 1] as const, offsetMm: printed.cutMm };
  const { plans } = proposeSplit(body, [envelope], {
    ...(context.signal && { signal: context.signal }),
    planes: [plane],
    part: request.stem,
  });
  const [plan] = plans;
  const closed = ready.because === null;
  const joints = plan && request.dowels !== false ? await planJoints(body, plan, request.join, { ...context, closed }) : []; // prettier-ignore
  const dowels = joints.flatMap((joint) => joint.regions).flatMap((r) => r.dowels).length;
  const files: { name: string; data: Uint8Array | string }[] = [];
  if (dowels > 0) {
    const { svgs, pdf } = await drillTemplates(joints, request.stem);
    for (const { joint, piece, svg } of svgs)
      files.push({ name: `${request.stem}.drill-${joint}-on-${piece}.svg`, data: svg });
    files.push({ name: `${request.stem}.drill.pdf`, data: pdf });
  }
  const cut = plan && closed ? await cutPieces(body, plan, joints, { ...context, prepared: true, marks: false, envelopes: [envelope] }) : null; // prettier-ignore
  const upper = cut?.written
    ? cut.pieces.find((piece) => plan?.pieces.find((p) => p.id === piece.id)?.within[0]?.side === 'above') // prettier-ignore
    : undefined;
  const remainder = upper ? lowered(upper.mesh, boundsOf(upper.mesh.positions).min[2]) : null;
  if (remainder) files.unshift({ name: `${request.stem}.rest.stl`, data: writeBinaryStl(remainder) }); // prettier-ignore

  const wholeMm3 = closed ? massProperties(body).volumeMm3 : null;
  const restMm3 = upper?.volumeMm3 ?? null;
  const seam = plan?.cuts[0]?.seam;
  const skin = skinAt(body, printed.cutMm);
  return {
    files,
    whole: body,
    remainder,
    result: {
      schema: 'scantling/salvage@1',
      file: request.file,
      turnsDeg: [...turnsDeg],
      printed: {
        likelyMm: printed.likelyMm,
        plusMinusMm: printed.plusMinusMm,
        layerMm: request.layerMm,
        layers: printed.layers,
        cutMm: printed.cutMm,
        sandOffMm: printed.likelyMm - printed.cutMm,
      },
      whole: { volumeMm3: wholeMm3, massG: null, hours: null },
      remainder: { volumeMm3: restMm3, massG: null, hours: null },
      saved: {
        volumeMm3: wholeMm3 !== null && restMm3 !== null ? wholeMm3 - restMm3 : null,
        massG: null,
        hours: null,
        share: wholeMm3 && restMm3 !== null ? 1 - restMm3 / wholeMm3 : null,
      },
      cutFace: {
        outlineMm: skin.outlineMm,
        areaMm2: seam?.areaMm2 ?? null,
        regions: seam?.regions ?? null,
        leastThicknessMm: seam?.leastThicknessMm ?? null,
        slantedShare: skin.slantedShare,
        steepestDeg: skin.steepestDeg,
      },
      joints: [...joints],
      written: remainder !== null,
      because: remainder ? null : (ready.because ?? (cut && !cut.written ? cut.because : 'The cut leaves nothing above it.')), // prettier-ignore
      sound: Boolean(cut?.written && cut.sound),
      repairs: [...ready.repairs],
      advice: adviceFor(printed, skin, seam, dowels),
      cautions: [...SALVAGE_CAUTIONS],
    },
  };
}

/** Turned as it was printed, lowest point at z = 0. */
function onPlate(mesh: Mesh, turnsDeg: Vec3): Mesh {
  const turned = transformMesh(mesh, quatToMatrix(quatFromTurnsDeg(turnsDeg)));
  return lowered(turned, boundsOf(turned.positions).min[2]);
}

const lowered = (mesh: Mesh, byMm: number): Mesh => ({
  positions: transformPositions(mesh.positions, [1, 0, 0, 0, 1, 0, 0, 0, 1], [0, 0, -byMm]),
  triangles: mesh.triangles,
});

/** Thinner than this a cut face is more edge than glue, mm: common practice, no source. */
const THIN_MM = 3;

function adviceFor(
  printed: PrintedHeight,
  skin: SkinAtCut,
  seam: Seam | undefined,
  dowels: number,
): string[] {
  const mm = (x: number): string => `${Number(x.toFixed(2))} mm`;
  const advice = [
    `Leave the stump on the plate if you can; sand its top level down to ${mm(printed.cutMm)} (likely ${mm(Math.max(0, printed.likelyMm - printed.cutMm))} off), measured at three places.`,
  ];
  if (printed.plusMinusMm > 1)
    advice.push(
      `The height is only known to ${mm(printed.plusMinusMm)}: measure the stump with a caliper and ask again with that, before printing.`,
    );
  if (skin.slantedShare > 0.1)
    advice.push(
      `${Math.round(100 * skin.slantedShare)} % of the outline leans more than 30 degrees (up to ${Math.round(skin.steepestDeg)}): a height that is one layer off shows as a step there. Cut lower, where the skin is upright, or plan to fill and sand.`,
    );
  const thin = seam?.leastThicknessMm;
  if (thin !== null && thin !== undefined && thin < THIN_MM)
    advice.push(
      `The wall is down to ${mm(thin)} in the cut: glue alone holds little there. Back it from inside with a strip about ${mm(Math.max(10, 6 * thin))} wide over the joint, or cut where it is thicker.`,
    );
  const regions = seam?.regions ?? 1;
  if (regions > 1) advice.push(`The cut meets the part in ${regions} separate places: dry-fit all of them before gluing any.`); // prettier-ignore
  if (dowels === 0) advice.push('No dowels: align by the outline, tack with a drop of glue, turn it over and look before gluing fully.'); // prettier-ignore
  else advice.push('The new piece has its holes; drill the stump by the template, which is mirrored for it.'); // prettier-ignore
  return advice;
}
