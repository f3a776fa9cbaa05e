import { isMap, isNode, isScalar, LineCounter, parseDocument, type Document } from 'yaml';
import type * as z from 'zod';
import { checkEnvelope, type Envelope } from '../envelope/index.ts';
import { ScantlingError, type Position } from '../errors.ts';
import { issueWords, pathWords } from './issues.ts';
import { workshopSchema, type MachineFile, type WorkshopFile } from './schema.ts';

/** One machine: its build envelope, and every section of settings the file gives or leaves out. */
export type Machine = Omit<MachineFile, 'name' | 'plate' | 'height' | 'margin' | 'keepOut'> & {
  readonly envelope: Envelope;
};

/** A workshop file, read and checked, with every default filled in. */
export type Workshop = Omit<WorkshopFile, 'machines'> & { readonly machines: readonly Machine[] };

type Path = readonly PropertyKey[];

/**
 * Reads a workshop file (YAML 1.2).
 * @param file name for messages; nothing is opened
 * @throws `WORKSHOP_SYNTAX` for text that is no YAML, `WORKSHOP_KEY` for a missing, unknown or
 * wrong value; both name line, column and key
 */
export function parseWorkshop(text: string, file = 'workshop.yaml'): Workshop {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false });
  const broken = document.errors[0];
  if (broken) {
    const { line, col } = lines.linePos(broken.pos[0]);
    throw new ScantlingError('WORKSHOP_SYNTAX', `this is not valid YAML: ${broken.message}.`, {
      file,
      at: { line, column: col },
    });
  }
  const fail = (path: Path, words: string, onKey = false): never => {
    const at = positionOf(document, lines, path, onKey);
    const where = pathWords(path);
    throw new ScantlingError('WORKSHOP_KEY', `${where ? `${where}: ` : ''}${words}`, { file, at });
  };
  const read = workshopSchema.safeParse(plainValue(document, file));
  if (!read.success) {
    const { path, words, onKey } = issueWords(read.error.issues[0] as z.core.$ZodIssue);
    return fail(path, words, onKey);
  }
  const taken = new Set<string>();
  const machines = read.data.machines.map((machine, i) => {
    if (taken.has(machine.name))
      fail(['machines', i, 'name'], `"${machine.name}" is used twice; give each machine its own.`);
    taken.add(machine.name);
    try {
      return toMachine(machine);
    } catch (error) {
      if (!(error instanceof ScantlingError)) throw error;
      const key = culprit[error.code] ?? [];
      return fail(['machines', i, ...key], [error.message, error.remedy].join(' '));
    }
  });
  return { ...read.data, machines };
}

/** Which key a failed check of the envelope is about. */
const culprit: Readonly<Record<string, Path>> = {
  ENVELOPE_OUTLINE: ['plate', 'outline'],
  ENVELOPE_MARGIN: ['margin'],
  ENVELOPE_KEEP_OUT: ['keepOut'],
};

function toMachine(machine: MachineFile): Machine {
  const { name, plate, height, margin, keepOut, ...sections } = machine;
  return {
    ...sections,
    envelope: checkEnvelope({
      name,
      plate:
        'box' in plate
          ? { shape: 'box', widthMm: plate.box[0], depthMm: plate.box[1] }
          : 'round' in plate
            ? { shape: 'round', diameterMm: plate.round }
            : { shape: 'polygon', outlineMm: plate.outline },
      heightMm: height,
      marginSideMm: margin.side,
      marginTopMm: margin.top,
      keepOuts: keepOut.map(({ name, min, max }) => ({ name, minMm: min, maxMm: max })),
    }),
  };
}

/** A workshop of these envelopes alone, everything else at its default. */
export function workshopOf(envelopes: readonly Envelope[]): Workshop {
  const checked = envelopes.map(checkEnvelope);
  const { machines, ...sections } = workshopSchema.parse({
    machines: checked.map(({ name }) => ({ name, plate: { round: 1 }, height: 1 })),
  });
  return {
    ...sections,
    machines: machines.map((machine, i) => ({
      ...toMachine(machine),
      envelope: checked[i] as Envelope,
    })),
  };
}

/** The document as plain data; aliases that multiply without bound are refused by the YAML library. */
function plainValue(document: Document, file: string): unknown {
  try {
    return document.toJS();
  } catch (error) {
    throw new ScantlingError('WORKSHOP_SYNTAX', (error as Error).message, { file });
  }
}

/** Line and column of the value at `path`, or of its key, or of the nearest thing above it. */
function positionOf(document: Document, lines: LineCounter, path: Path, onKey: boolean): Position {
  const keys = path.map((key) => (typeof key === 'symbol' ? String(key) : key));
  for (let length = keys.length; length >= 0; length--) {
    const node = length ? document.getIn(keys.slice(0, length), true) : document.contents;
    if (onKey && length === keys.length && length > 0) {
      const parent: unknown =
        length > 1 ? document.getIn(keys.slice(0, -1), true) : document.contents;
      const pair = isMap(parent)
        ? parent.items.find((item) => isScalar(item.key) && item.key.value === keys.at(-1))
        : undefined;
      const start = isNode(pair?.key) ? pair.key.range?.[0] : undefined;
      if (start !== undefined) return asPosition(lines, start);
    }
    const start = isNode(node) ? node.range?.[0] : undefined;
    if (start !== undefined) return asPosition(lines, start);
  }
  return { line: 1, column: 1 };
}

const asPosition = (lines: LineCounter, offset: number): Position => {
  const { line, col } = lines.linePos(offset);
  return { line, column: col };
};
