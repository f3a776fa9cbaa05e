import { checkCancelled } from '../context.ts';
import { cutPieces, planJoints, prepareForCut } from '../cut/index.ts';
import { boxEnvelope } from '../envelope/index.ts';
import { ScantlingError } from '../errors.ts';
import type { JoinSettings } from '../join/index.ts';
import { quatToMatrix, type Vec3 } from '../math/index.ts';
import { boundsOf, sizeOf, type Mesh } from '../mesh/index.ts';
import { proposeSplit, type SplitSettings } from '../split/index.ts';
import { hoursWith, type HoursFactors } from './hours.ts';
import { readyPart, type PrintingMachine, type Ready, type ReadyOptions, type Recipe } from './ready.ts'; // prettier-ignore
import type { PartEstimate, WholeOrSplit } from './schema.ts';
import type { Material } from './settings.ts';

export interface WholeOrSplitOptions extends ReadyOptions {
  readonly split?: SplitSettings;
  readonly join: JoinSettings;
  /** The whole on this machine when it is known already; null: it goes on in no way. */
  readonly whole?: Ready | null;
}

type Sides = Pick<WholeOrSplit, 'split' | 'because'>;

/**
 * What one part takes in one piece and cut up, each in its best way up on the same machine. Where
 * it goes on in no way, the whole is weighed on that machine made large enough, and said to be
 * impossible; the pieces are those of the proposed split. A part that fits is cut in two across the
 * middle of its longest side, since the least seam of such a part would be that of a sliver. Pieces
 * are drilled for their dowels; dowels and glue are not weighed. Grams, hours, mm.
 * @returns null for an open mesh
 * @throws ScantlingError what `rankOrientations` throws, `KERNEL_NOT_LOADED`, `CANCELLED`
 */
export async function wholeOrSplit(
  mesh: Mesh,
  machine: PrintingMachine,
  recipe: Recipe,
  material: Material,
  options: WholeOrSplitOptions,
): Promise<WholeOrSplit | null> {
  const make = async (body: Mesh, on: PrintingMachine, alsoTry: readonly Vec3[] = []): Promise<Ready | null> =>
    (await readyPart(body, [on], [recipe], material, { ...options, alsoTry }))[0]?.[0] ?? null; // prettier-ignore
  const here = options.whole === undefined ? await make(mesh, machine) : options.whole;
  const whole = here ?? (await make(mesh, enlarged(machine, mesh)));
  if (!whole?.estimate) return null;
  const { massG, hours, parts } = whole.estimate;
  const sides = await inPieces(mesh, machine, make, whole.estimate, here !== null, options);
  return {
    whole: { possible: here !== null, sizeMm: [...whole.sizeMm] as [number, number, number], massG, hours, parts }, // prettier-ignore
    ...sides,
  };
}

/** The same machine with room for the part in every orientation: a cube of its diagonal. */
function enlarged(machine: PrintingMachine, mesh: Mesh): PrintingMachine {
  const edge = 1.01 * Math.hypot(...sizeOf(boundsOf(mesh.positions)));
  return { ...machine, envelope: boxEnvelope(edge, edge, edge, machine.envelope.name) };
}

/** The plane square to the longest side of the part's box, through its middle. */
function middleOf(mesh: Mesh): { normal: Vec3; offsetMm: number } {
  const { min, max } = boundsOf(mesh.positions);
  const k = ([0, 1, 2] as const).reduce((a, b) => (max[b] - min[b] > max[a] - min[a] ? b : a));
  const normal = [0, 1, 2].map((i) => (i === k ? 1 : 0)) as unknown as Vec3;
  return { normal, offsetMm: (min[k] + max[k]) / 2 };
}

async function inPieces(
  mesh: Mesh,
  machine: PrintingMachine,
  make: (body: Mesh, on: PrintingMachine, alsoTry: readonly Vec3[]) => Promise<Ready | null>,
  whole: PartEstimate,
  fits: boolean,
  options: WholeOrSplitOptions,
): Promise<Sides> {
  const no = (because: string): Sides => ({ split: null, because: because.replace(/\.$/, '') });
  try {
    const body = await prepareForCut(mesh, options);
    if (body.because !== null) return no(body.because);
    const found = proposeSplit(body.mesh, [machine.envelope], {
      ...(options.split && { settings: options.split }),
      ...(options.signal && { signal: options.signal }),
      ...(fits && { planes: [middleOf(body.mesh)] }),
      alternatives: 1,
    });
    const plan = found.plans[0];
    if (!plan || plan.cuts.length === 0) return no(found.remarks.at(-1) ?? 'no plan to cut it was found'); // prettier-ignore
    if (!plan.complete) return no('no plan was found whose pieces all surely fit');
    const joints = await planJoints(body.mesh, plan, options.join, options);
    const cut = await cutPieces(body.mesh, plan, joints, { ...options, prepared: true, marks: false }); // prettier-ignore
    if (!cut.written) return no(cut.because);
    const pieces: Pieces = [];
    for (const piece of cut.pieces) {
      checkCancelled(options);
      const turn = plan.pieces.find((p) => p.id === piece.id)?.fit.placement?.rotation;
      const m = turn && quatToMatrix(turn);
      // The way up that proves its fit is always worth trying.
      const ready = await make(piece.mesh, machine, m ? [[m[6], m[7], m[8]]] : []);
      if (!ready?.estimate) return no(`piece ${piece.id} could not be weighed`);
      const { massG, hours, parts } = ready.estimate;
      pieces.push({ piece: piece.id, massG, hours, parts });
    }
    return { split: summed(pieces, whole), because: null };
  } catch (error) {
    if (!(error instanceof ScantlingError) || error.code === 'CANCELLED') throw error;
    return no(error.message);
  }
}

type Pieces = NonNullable<WholeOrSplit['split']>['pieces'];
type Print = Pick<PartEstimate, 'massG' | 'hours'>;

function summed(pieces: Pieces, whole: Print): WholeOrSplit['split'] {
  const sum = (of: (p: Print) => number): number => pieces.reduce((s, p) => s + of(p), 0);
  const massG = sum((p) => p.massG);
  const likely = sum((p) => p.hours.likely);
  return {
    pieces,
    massG,
    hours: { low: sum((p) => p.hours.low), likely, high: sum((p) => p.hours.high) },
    longest: pieces.reduce((a, b) => (b.hours.likely > a.hours.likely ? b : a)),
    extraMassG: massG - whole.massG,
    extraHours: likely - whole.hours.likely,
  };
}

/** The same comparison under other factors, as after a fit to the log. */
export function wholeOrSplitWith(c: WholeOrSplit, s: HoursFactors): WholeOrSplit {
  const whole = { ...c.whole, hours: hoursWith(c.whole.parts, s) };
  const pieces = c.split?.pieces.map((p) => ({ ...p, hours: hoursWith(p.parts, s) }));
  return { ...c, whole, split: pieces ? summed(pieces, whole) : null };
}
