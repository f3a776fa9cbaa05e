import type { Context } from '../context.ts';
import {
  rankBySupports,
  cutPieces,
  cutSheet,
  drillTemplates,
  planesMesh,
  planJoints,
  prepareForCut,
} from '../cut/index.ts';
import type { Envelope } from '../envelope/index.ts';
import { ScantlingError } from '../errors.ts';
import type { JoinSettings, Joint, JointKeepOut, Rod } from '../join/index.ts';
import { boundsOf, sizeOf, type Mesh } from '../mesh/index.ts';
import type { OrientSettings } from '../orient/index.ts';
import { proposeSplit, type SplitOptions, type SplitPlan } from '../split/index.ts';
import { misread, pieceFiles, writeBinaryStl } from '../write/index.ts';
import { standPieces, toPlateCorner } from './on-plate.ts';
import type { SplitPart } from './split.ts';

export interface SplitPartOptions extends Context {
  readonly split?: SplitOptions;
  readonly join: JoinSettings;
  readonly keepOuts?: readonly JointKeepOut[];
  readonly rods?: readonly Rod[];
  /** Hole clearance by machine, mm, where it differs from `join`. */
  readonly holeClearanceOn?: Readonly<Record<string, number | null>>;
  /** Mass that hangs from the joints, g: held against their estimated strength. */
  readonly loadG?: number;
  /** Pieces, templates and planes are made as files. Default false: plan and joints only. */
  readonly cut?: boolean;
  /** Pieces stand on the plate in their best way up; else part coordinates. Default false. */
  readonly onPlate?: boolean;
  /** How ways up are judged, per envelope in its order. Default: all defaults. */
  readonly orient?: readonly OrientSettings[];
  /** Marks are sunk into the cut faces. Default true. */
  readonly marks?: boolean;
}

/** A file to write: its name has no folder. */
export interface OutFile {
  readonly name: string;
  readonly data: Uint8Array | string;
}

export interface SplitPartResult {
  readonly part: SplitPart;
  readonly files: readonly OutFile[];
}

/**
 * A part from mesh to pieces: mended where that is honest, split, dowelled, cut, checked, written.
 * Wrong input (and a part for which no plan is found) gives a `failed` entry, never an exception.
 * @param stem begins the names of all files
 * @throws ScantlingError `CANCELLED`
 */
export async function splitPart(
  mesh: Mesh,
  names: { readonly file: string; readonly part: string | null; readonly stem: string },
  envelopes: readonly Envelope[],
  options: SplitPartOptions,
): Promise<SplitPartResult> {
  const head = { file: names.file, part: names.part };
  try {
    if (Math.max(...sizeOf(boundsOf(mesh.positions))) === 0)
      throw new ScantlingError('FLAT_PART', 'All corners of the part lie in one place.', {
        remedy: 'Check the file: there is nothing to cut.',
      });
    return await split(mesh, names, envelopes, options);
  } catch (error) {
    if (!(error instanceof ScantlingError) || error.code === 'CANCELLED') throw error;
    return { part: { ...head, ...failedSplit(error) }, files: [] };
  }
}

/** What is said of a part for which nothing could be made. */
export const failedSplit = (error: ScantlingError): Omit<SplitPart, 'file' | 'part'> => ({
  state: 'failed',
  error: error.line,
  sizeMm: null,
  closed: null,
  lowerBound: null,
  plans: [],
  joints: [],
  sheet: null,
  files: null,
  remarks: [],
});

async function split(
  mesh: Mesh,
  names: { readonly file: string; readonly part: string | null; readonly stem: string },
  envelopes: readonly Envelope[],
  options: SplitPartOptions,
): Promise<SplitPartResult> {
  const ready = await prepareForCut(mesh, options);
  const body = ready.because === null ? ready.mesh : mesh;
  const twin = options.split?.twin;
  // Made ready as its own run makes it: both must search the same two meshes.
  const other = twin && (await prepareForCut(twin, options));
  const proposed = proposeSplit(body, envelopes, {
    ...options.split,
    ...(other?.because === null && { twin: other.mesh }),
    ...(options.signal && { signal: options.signal }),
    part: names.stem,
  });
  const found =
    ready.because === null
      ? await rankBySupports(proposed, body, envelopes, {
          ...(options.split?.settings && { settings: options.split.settings }),
          ...(options.orient && { orient: options.orient }),
          ...(options.signal && { signal: options.signal }),
        })
      : proposed;
  const [plan] = found.plans;
  const size = sizeOf(boundsOf(body.positions));
  const common = {
    file: names.file,
    part: names.part,
    error: null,
    sizeMm: [...size] as [number, number, number],
    closed: found.closed,
    lowerBound: { ...found.lowerBound },
    plans: found.plans as unknown as SplitPart['plans'],
  };
  if (!plan)
    return {
      part: {
        ...common,
        state: 'failed',
        error: found.remarks.at(-1) ?? 'No plan was found.',
        joints: [],
        sheet: null,
        files: null,
        remarks: [...found.remarks],
      },
      files: [],
    };
  const joints = await planJoints(body, plan, options.join, {
    ...options,
    // Where no cut may pass, there is something that no hole may reach either.
    keepOuts: [...(options.keepOuts ?? []), ...(options.split?.keep ?? [])],
    closed: ready.because === null,
  });
  const state = !plan.complete ? 'incomplete' : plan.cuts.length > 0 ? 'split' : 'whole';
  const made =
    options.cut && plan.cuts.length > 0
      ? await piecesOf(body, plan, joints, names.stem, envelopes, options, ready.because, ready.repairs)
      : null;
  return {
    part: {
      ...common,
      state,
      joints: [...joints],
      sheet: cutSheet(plan, joints),
      files: made?.report ?? null,
      remarks: [...found.remarks],
    },
    files: made?.files ?? [],
  };
} // prettier-ignore

async function piecesOf(
  mesh: Mesh,
  plan: SplitPlan,
  joints: readonly Joint[],
  stem: string,
  envelopes: readonly Envelope[],
  options: SplitPartOptions,
  refused: string | null,
  repairs: readonly string[],
): Promise<{ readonly report: NonNullable<SplitPart['files']>; readonly files: OutFile[] }> {
  const files: OutFile[] = [];
  const planes = await planesMesh(joints);
  if (planes.triangles.length > 0)
    files.push({ name: `${stem}.planes.stl`, data: writeBinaryStl(planes) });
  if (joints.length > 0) {
    const { svgs, pdf } = await drillTemplates(joints, stem);
    for (const { joint, piece, svg } of svgs)
      files.push({ name: `${stem}.drill-${joint}-on-${piece}.svg`, data: svg });
    files.push({ name: `${stem}.drill.pdf`, data: pdf });
  }
  const nothing = (because: string): { report: NonNullable<SplitPart['files']>; files: OutFile[] } => ({
    report: {
      written: false,
      because,
      files: files.map((f) => f.name),
      repairs: [...repairs],
      sound: false,
      volumes: null,
      onPlate: null,
      remarks: [],
    },
    files,
  }); // prettier-ignore
  if (refused !== null) return nothing(refused);
  const cut = await cutPieces(mesh, plan, joints, {
    ...options,
    prepared: true,
    envelopes,
  });
  if (!cut.written) return nothing(cut.because);
  const stood = options.onPlate ? standPieces(cut.pieces, plan, envelopes, options) : null;
  const written = pieceFiles(
    cut.pieces.map((piece, i) => {
      const own = stood?.[i];
      const machine = own && envelopes.find((e) => e.name === own.standing.envelope);
      return {
        ...piece,
        mesh: own?.mesh ?? piece.mesh,
        ...(machine && { toCornerMm: toPlateCorner(machine) }),
      };
    }),
    stem,
  );
  files.push(...written.stl, ...written.threeMf);
  const misreadings = written.stl
    .map(({ piece, readBack }) => misread(piece, readBack))
    .filter((words) => words !== null);
  return {
    report: {
      written: true,
      because: null,
      files: files.map((f) => f.name),
      repairs: [...repairs, ...cut.repairs],
      sound: cut.sound && misreadings.length === 0,
      volumes: { ...cut.volumes },
      onPlate: stood && stood.map(({ standing }) => standing),
      remarks: [...cut.remarks, ...misreadings],
    },
    files,
  };
}
