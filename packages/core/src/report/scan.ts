import { z } from 'zod';
import type { Context } from '../context.ts';
import { describeEnvelope, type Envelope } from '../envelope/index.ts';
import type { ScantlingError } from '../errors.ts';
import {
  fitAny,
  freeSpaceOf,
  meanWidth,
  piecesAtLeast,
  type Body,
  type Fit,
  type FreeSpace,
  type PartFacts,
} from '../fit/index.ts';
import { convexHull, extremeCandidates } from '../hull/index.ts';
import { healthSchema, inspectPart, type Health } from '../inspect/index.ts';
import { boundsOf, sizeOf, type Mesh } from '../mesh/index.ts';
import { orientSummary, type OrientSettings } from '../orient/index.ts';
import { readNoteSchema, unitDoubt, type ReadPart } from '../read/index.ts';
import { kitSchema, partName, summariseKit } from './kit-fit.ts';

const vec3 = z.tuple([z.number(), z.number(), z.number()]);
const scaleSchema = z.strictObject({
  atLeast: z.number().describe('a placement is known at this uniform scale'),
  atMost: z.number().describe('above this scale no orientation fits, where proved'),
  proved: z.boolean().describe('whether atMost is a certificate'),
});
const fitVerdict = z.enum(['fits', 'fits-turned', 'fits-tilted', 'undecided', 'too-big']);

const machineFitSchema = z.strictObject({
  machine: z.string().describe('name in the workshop file'),
  verdict: fitVerdict,
  scale: scaleSchema,
});

/** One part of a scan; everything below `verdict` is null where the file could not be read. */
export const scanPartSchema = z.strictObject({
  file: z.string().describe('path as given, forward slashes'),
  part: z.string().nullable().describe('name inside the file, where one file holds several parts'),
  verdict: z.enum([...fitVerdict.options, 'unreadable']).describe('the easiest over all machines'),
  size: vec3.nullable().describe('extent along X, Y, Z as modelled, mm'),
  scale: scaleSchema.nullable().describe('largest uniform scale that fits, on `machine`'),
  mesh: healthSchema.nullable(),
  machine: z
    .string()
    .nullable()
    .describe('takes the part; of several, the one with the easiest verdict that is listed first'),
  rotation: z
    .strictObject({
      quaternion: z
        .tuple([z.number(), z.number(), z.number(), z.number()])
        .describe('x, y, z, w; turns part coordinates into the machine frame'),
      turnsDeg: vec3.describe('the same as turns about the fixed axes X, then Y, then Z'),
    })
    .nullable(),
  translationMm: vec3
    .nullable()
    .describe('after the rotation: where the part stands, origin in the middle of the plate, mm'),
  turnedSizeMm: vec3.nullable().describe('extent along the machine axes once turned, mm'),
  clearanceMm: vec3
    .nullable()
    .describe('free length left along the machine axes, margins taken off; negative: too long, mm'),
  piecesAtLeast: z
    .strictObject({
      count: z.number().int().describe('fewer pieces than this is impossible, proved'),
      because: z.string(),
    })
    .nullable(),
  machines: z.array(machineFitSchema).describe('every machine, in the order of the workshop file'),
  supports: z
    .strictObject({
      asModelledMm3: z.number().describe('space under overhangs as modelled, mm3'),
      bestMm3: z
        .number()
        .nullable()
        .describe('the same in the way up chosen by orient; null: no place'),
      turnsDeg: vec3.nullable().describe('turns of that way up'),
      steady: z.boolean().nullable().describe('whether it stands firm while it grows'),
    })
    .nullable()
    .describe('only when asked for, of parts that fit; on `machine`'),
  unit: z
    .strictObject({
      taken: z.string().describe('unit in which the numbers of the file were taken'),
      from: z.enum(['file', 'given', 'assumed']),
      doubt: z
        .strictObject({
          rule: z.enum(['twin', 'below-1', 'small-folder']),
          units: z.array(z.string()).describe('what it looks like, most likely first'),
          sizeMm: vec3.describe('extent if it is in the first of them, mm'),
          evidence: z.string(),
        })
        .nullable()
        .describe('why this unit may be wrong; nothing was rescaled'),
    })
    .nullable(),
  format: z.string().nullable(),
  notes: z.array(readNoteSchema).describe('remarks of the reader'),
  error: z
    .strictObject({
      code: z.string(),
      message: z.string(),
      byte: z.number().nullable().describe('from 0'),
      line: z.number().nullable().describe('from 1'),
      remedy: z.string().nullable(),
    })
    .nullable(),
});
export type ScanPart = z.infer<typeof scanPartSchema>;

/** The result of a scan. Lengths in mm, angles in degrees. */
export const scanSchema = z.strictObject({
  schema: z.literal('scantling/scan@1'),
  settings: z.strictObject({
    precision: z.number().describe('asked relative width of every scale interval'),
    unit: z.string().describe('unit of files that carry none'),
    machines: z.array(
      z.strictObject({ name: z.string(), envelope: z.string().describe('in words') }),
    ),
  }),
  complete: z.boolean().describe('false when the scan was stopped before the last file'),
  parts: z.array(scanPartSchema).describe('worst news first'),
  kit: kitSchema,
});
export type Scan = z.infer<typeof scanSchema>;

export interface ScanOptions {
  /** Relative width of the scale intervals. Default 0.001. */
  readonly precision?: number;
  /** Asks for supports too: how parts are turned on each machine, in the order of the envelopes. */
  readonly orient?: readonly OrientSettings[];
  readonly context?: Context;
}

const EASIEST_FIRST = fitVerdict.options;

/**
 * One part looked at from end to end: mesh health, convex hull, and the certified fit on every
 * machine. `file` and `part` are names only; nothing is opened.
 */
export function scanPart(
  read: ReadPart,
  file: string,
  part: string | null,
  envelopes: readonly Envelope[],
  options: ScanOptions = {},
): ScanPart {
  const { context, precision } = options;
  const mesh = inspectPart(read.mesh, context);
  const points = pointsOf(read.mesh, envelopes);
  const facts = { ...factsOf(mesh), ...points.facts };
  const fits = fitAny(points.body, envelopes, {
    ...context,
    facts,
    ...(precision !== undefined && { precision }),
  });
  const best = easiest(fits);
  const { placement } = best;
  const at = fits.indexOf(best);
  const turning = best.verdict === 'too-big' ? undefined : options.orient?.[at];
  const summary = turning && orientSummary(read.mesh, envelopes[at] as Envelope, turning, context);
  return {
    file,
    part,
    verdict: best.verdict,
    size: [...sizeOf(boundsOf(points.body.positions))],
    scale: best.scale,
    mesh,
    machine: best.envelope,
    rotation: { quaternion: [...placement.rotation], turnsDeg: [...placement.turnsDeg] },
    translationMm: [...placement.translationMm],
    turnedSizeMm: [...placement.sizeMm],
    clearanceMm: [...placement.clearanceMm],
    piecesAtLeast:
      best.verdict === 'too-big' ? leastPieces(points.body.positions, envelopes, facts) : null,
    machines: fits.map(({ envelope, verdict, scale }) => ({ machine: envelope, verdict, scale })),
    supports: summary ? { ...summary, turnsDeg: summary.turnsDeg && [...summary.turnsDeg] } : null,
    unit: { taken: read.sourceUnit, from: read.unitFrom, doubt: null },
    format: read.format,
    notes: [...read.notes],
    error: null,
  };
}

/**
 * What of a part the fit looks at. Among keep-outs it asks for the hull's facets; otherwise all
 * points that may be extreme do as well, and save the finding of a large hull.
 */
function pointsOf(
  { positions }: Mesh,
  envelopes: readonly Envelope[],
): { body: Body; facts: Pick<PartFacts, 'meanWidthMm'> } {
  if (envelopes.some((envelope) => envelope.keepOuts.length > 0))
    return { body: convexHull(positions), facts: {} };
  const { positions: outer, inner } = extremeCandidates(positions);
  return {
    body: { positions: outer, triangles: new Uint32Array(0) },
    facts: { meanWidthMm: meanWidth(inner.positions, inner.triangles) },
  };
}

/** What of a mesh's health may carry a proof: a volume only where nothing is counted twice. */
function factsOf(mesh: Health): PartFacts {
  return {
    connected: mesh.shells.count - mesh.shells.voids === 1,
    ...(mesh.verdict === 'sound' && mesh.volumeMm3 !== null && { volumeMm3: mesh.volumeMm3 }),
  };
}

/** The easiest verdict, the first machine of equals; of machines that are all too small, the best. */
function easiest(fits: readonly Fit[]): Fit {
  const rank = (fit: Fit): number => EASIEST_FIRST.indexOf(fit.verdict);
  const least = Math.min(...fits.map(rank));
  const among = fits.filter((fit) => rank(fit) === least);
  if (least < EASIEST_FIRST.indexOf('undecided')) return among[0] as Fit;
  return among.reduce((a, b) => (b.scale.atLeast > a.scale.atLeast ? b : a));
}

/**
 * Pieces may go to different machines, so each figure of the part is held against the most generous
 * of the machines in that figure; the least of the machines' own bounds would prove nothing.
 */
function leastPieces(
  points: Float64Array,
  envelopes: readonly Envelope[],
  facts: PartFacts,
): ScanPart['piecesAtLeast'] {
  const spaces = envelopes.map(freeSpaceOf).filter((space) => space !== null);
  const most = (figure: 'volumeMm3' | 'diagonalMm' | 'meanWidthMm'): number =>
    Math.max(...spaces.map((space) => space[figure]));
  return piecesAtLeast(
    points,
    {
      ...(spaces[0] as FreeSpace),
      volumeMm3: most('volumeMm3'),
      diagonalMm: most('diagonalMm'),
      meanWidthMm: most('meanWidthMm'),
    },
    facts,
  );
}

/** The entry of a file that could not be read. */
export const unreadablePart = (file: string, error: ScantlingError): ScanPart => ({
  file,
  part: null,
  verdict: 'unreadable',
  size: null,
  scale: null,
  mesh: null,
  machine: null,
  rotation: null,
  translationMm: null,
  turnedSizeMm: null,
  clearanceMm: null,
  piecesAtLeast: null,
  machines: [],
  supports: null,
  unit: null,
  format: null,
  notes: [],
  error: {
    code: error.code,
    message: error.message,
    byte: error.at?.byte ?? null,
    line: error.at?.line ?? null,
    remedy: error.remedy ?? null,
  },
});

const WORST_FIRST = ['unreadable', 'undecided', 'too-big', 'fits-tilted', 'fits-turned', 'fits'];

/** Worst news first: by verdict, then by how little room there is, then by name. */
export const byNews = (a: ScanPart, b: ScanPart): number =>
  WORST_FIRST.indexOf(a.verdict) - WORST_FIRST.indexOf(b.verdict) ||
  (a.scale?.atLeast ?? 0) - (b.scale?.atLeast ?? 0) ||
  (a.file < b.file ? -1 : a.file > b.file ? 1 : (a.part ?? '') < (b.part ?? '') ? -1 : 1);

/** The whole result: parts in order of news, the kit's answers, the settings they hold for. */
export function scanOf(
  parts: readonly ScanPart[],
  settings: {
    readonly precision: number;
    readonly unit: string;
    readonly envelopes: readonly Envelope[];
    readonly complete: boolean;
  },
): Scan {
  const machines = settings.envelopes.map((envelope) => ({
    name: envelope.name,
    envelope: describeEnvelope(envelope),
  }));
  return {
    schema: 'scantling/scan@1',
    settings: { precision: settings.precision, unit: settings.unit, machines },
    complete: settings.complete,
    parts: withUnitDoubts(parts).sort(byNews),
    kit: summariseKit(
      parts,
      machines.map((machine) => machine.name),
    ),
  };
}

/** A part's unit can only be doubted in the company of its folder, once all of it is read. */
function withUnitDoubts(parts: readonly ScanPart[]): ScanPart[] {
  const doubts = unitDoubt(
    parts.map((part) => ({
      name: partName(part),
      folder: part.file.slice(0, part.file.lastIndexOf('/') + 1),
      size: part.size ?? [0, 0, 0],
      unitKnown: part.unit !== null && part.unit.from !== 'assumed',
    })),
  );
  return parts.map((part, i) => {
    const doubt = doubts[i];
    if (!part.unit || !doubt) return part;
    const { rule, units, sizeMm, evidence } = doubt;
    return { ...part, unit: { ...part.unit, doubt: { rule, units: [...units], sizeMm: [...sizeMm], evidence } } }; // prettier-ignore
  });
}
