import {
  materialOf,
  orientSettingsFor,
  quatToMatrix,
  rankOrientations,
  ScantlingError,
  transformMesh,
  weighPart,
  type LengthUnit,
  type MaterialsSettings,
  type Mesh,
  type OrientList,
  type OrientOptions,
  type OrientResult,
  type PrintingMachine,
} from '@scantling/core';
import { readPartsFromFile } from '@scantling/core/node';

export interface OrientSetup {
  /** In the order in which they are tried. */
  readonly machines: readonly PrintingMachine[];
  readonly materials: MaterialsSettings;
  readonly material: string;
  readonly unit: LengthUnit | null;
  /** Plain data: no signal, no progress. */
  readonly asked: Pick<OrientOptions, 'count' | 'load' | 'clean' | 'massG'>;
}

export interface OrientJob {
  readonly path: string;
  /** Name for results. */
  readonly name: string;
  readonly bytes: number;
  /** Unit of this file, before that of the set-up. */
  readonly unit?: LengthUnit;
}

export type OrientEntry = OrientList['parts'][number];
type Takes = NonNullable<OrientEntry['takes']>[number];

/** Ranks the ways up of the parts of one file, and says what each takes. */
export function start(setup: OrientSetup): (job: OrientJob) => Promise<readonly OrientEntry[]> {
  return async (job) => {
    try {
      const unit = job.unit ?? setup.unit;
      const parts = readPartsFromFile(job.path, { name: job.name, ...(unit && { unit }) });
      const entries: OrientEntry[] = [];
      for (const part of parts) entries.push(await entryOf(part.name, part.mesh, setup));
      return entries;
    } catch (error) {
      return [failedEntry(job.name, setup.material, error)];
    }
  };
}

async function entryOf(name: string, mesh: Mesh, setup: OrientSetup): Promise<OrientEntry> {
  try {
    const ranked = rank(mesh, setup);
    if (!ranked) throw new ScantlingError('NO_MACHINES', 'There is no machine to place it in.');
    const { result, machine } = ranked;
    const takes = await takesOf(mesh, result, machine, setup);
    return { name, result, material: setup.material, ...takes, error: null };
  } catch (error) {
    return failedEntry(name, setup.material, error);
  }
}

/** On the first machine that has room for it. */
function rank(
  mesh: Mesh,
  { machines, materials, material, asked }: OrientSetup,
): { result: OrientResult; machine: PrintingMachine } | null {
  const { densityGPerCm3 } = materialOf(material, materials);
  let last = null;
  for (const machine of machines) {
    const settings = orientSettingsFor(machine.orient, material, densityGPerCm3);
    const result = rankOrientations(mesh, machine.envelope, { ...asked, settings });
    last = { result, machine };
    if (result.ways.length > 0) break;
  }
  return last;
}

/** Filament and hours per way, supports included. */
async function takesOf(
  mesh: Mesh,
  { ways, asModelled, closed }: OrientResult,
  machine: PrintingMachine,
  { materials, material }: OrientSetup,
): Promise<Pick<OrientEntry, 'takes' | 'asModelledTakes'>> {
  if (!closed || ways.length === 0) return { takes: null, asModelledTakes: null };
  const of = materialOf(material, materials);
  const weigh = async (way: OrientResult['ways'][number]): Promise<Takes | null> => {
    const turned = transformMesh(mesh, quatToMatrix(way.rotation), way.translationMm);
    const made = await weighPart(turned, machine.estimate, of, {
      supportMm3: way.supports.volumeMm3,
      precision: 0.01,
    });
    return made && { massG: made.massG, supportsG: made.mass.supportsG, hours: made.hours };
  };
  const takes: Takes[] = [];
  for (const way of ways) {
    const made = await weigh(way);
    if (!made) return { takes: null, asModelledTakes: null };
    takes.push(made);
  }
  const same = ways.findIndex((way) => way.from === 'as-modelled');
  return {
    takes,
    asModelledTakes: asModelled && (takes[same] ?? (await weigh(asModelled))),
  };
}

/** A part that could not be judged is a line of the result, whatever went wrong. */
export function failedEntry(name: string, material: string, error: unknown): OrientEntry {
  const known = error instanceof ScantlingError;
  const fault = error instanceof Error ? (error.stack ?? error.message) : String(error);
  return {
    name,
    result: null,
    material,
    takes: null,
    asModelledTakes: null,
    error: known
      ? { code: error.code, message: error.line }
      : { code: 'FAULT', message: `A fault in scantling itself, please report it: ${fault}` },
  };
}
