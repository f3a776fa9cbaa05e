import { checkCancelled, type Context } from '../context.ts';
import { ScantlingError } from '../errors.ts';
import { MM_PER_UNIT } from '../units.ts';
import { finishPart, wrongEnding } from './part.ts';
import { ModelReader, type Model, type ModelObject, type Placed } from './threemfModel.ts';
import { MAX_FACETS, type ReadNote, type ReadOptions, type ReadPart } from './types.ts';
import { FacetWelder, tooManyFacets } from './facetWelder.ts';
import { SaxesParser } from 'saxes';
import { unpackEntry, zipDirectory, type ZipEntry } from './zip.ts';

const START = 'http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel';
/** Objects within objects within objects: deeper than any honest file. */
const MOST_LEVELS = 64;
/** Placed objects in one part: components can multiply each other. */
const MOST_PLACEMENTS = 100_000;

/**
 * Reads a 3MF package: one part per build item, in build order, transforms applied, in mm by the
 * file's own unit. Objects no item names are not output (Core Specification, build items). Model
 * parts named by the production extension's `path` are read as well.
 * A transform that mirrors turns the facets over, so that inside stays inside.
 * @throws ScantlingError `ZIP_ARCHIVE`, `ZIP_DAMAGED`, `ZIP_LIMIT`, `ZIP_ENCRYPTED`, `ZIP_METHOD`,
 * `XML_DAMAGED`, `XML_DOCTYPE`, `THREEMF_INVALID`, `THREEMF_EXTENSION`, `THREEMF_INDEX`,
 * `NOT_FINITE`, `NO_FACETS`, `TOO_MANY_FACETS`
 */
export function readThreeMf(bytes: Uint8Array, options: ReadOptions = {}): ReadPart[] {
  const pack = new Package(bytes, options.context);
  const root = pack.model(pack.rootPath());
  const notes = [...wrongEnding(options.name, '3mf'), ...root.notes];
  if (options.unit && options.unit !== root.unit)
    notes.push({
      code: 'UNIT_IN_FILE_KEPT',
      message: `The file states its unit (${root.unit}); the given unit ${options.unit} was not applied.`,
    });
  const parts: ReadPart[] = [];
  const skipped: ReadNote[] = [];
  root.items.forEach((item, i) => {
    const object = pack.object(item, pack.rootPath());
    if (object.type !== 'model') {
      skipped.push({
        code: 'OBJECT_SKIPPED',
        message: `Build item ${i + 1} is of type ${object.type}, not a part, and was passed over.`,
        line: item.line,
      });
      return;
    }
    parts.push(partFrom(pack, root, item, i, notes, options));
  });
  const first = parts[0];
  if (!first)
    throw new ScantlingError('NO_FACETS', 'The file asks for no part to be built.', {
      remedy: 'Export it again with the parts placed on the plate.',
    });
  return [{ ...first, notes: [...first.notes, ...skipped] }, ...parts.slice(1)];
}

function partFrom(
  pack: Package,
  root: Model,
  item: Placed,
  i: number,
  notes: readonly ReadNote[],
  options: ReadOptions,
): ReadPart {
  const path = pack.rootPath();
  const object = pack.object(item, path);
  const sink = { welder: new FacetWelder(0), placements: 0, mirrored: false };
  addPlaced(pack, item, path, [1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0], 0, sink);
  if (sink.welder.corners === 0)
    throw new ScantlingError('NO_FACETS', `Build item ${i + 1} has no facets.`, {
      at: { line: item.line },
      remedy: 'Export the part again; nothing was written for it.',
    });
  const own = item.partNumber || object.name || (root.items.length > 1 ? `item ${i + 1}` : '');
  return finishPart(
    {
      name: own && options.name !== undefined ? `${options.name} [${own}]` : (options.name ?? own),
      format: '3mf',
      mesh: sink.welder.mesh(MM_PER_UNIT[root.unit]),
      sourceUnit: root.unit,
      unitFrom: 'file',
      facetsRead: sink.welder.corners / 3,
      notes: sink.mirrored
        ? [...notes, { code: 'MIRRORED', message: 'A transform in the file mirrors this part.' }]
        : notes,
    },
    options,
  );
}

interface Sink {
  readonly welder: FacetWelder;
  placements: number;
  mirrored: boolean;
}

function addPlaced(
  pack: Package,
  placed: Placed,
  fromPath: string,
  outer: readonly number[],
  level: number,
  sink: Sink,
): void {
  if (level > MOST_LEVELS || ++sink.placements > MOST_PLACEMENTS)
    throw new ScantlingError('THREEMF_INVALID', 'Components name each other in a circle, or multiply without end.', { at: { line: placed.line }, remedy: 'Export the file again.' }); // prettier-ignore
  const path = placed.path ?? fromPath;
  const object = pack.object(placed, fromPath);
  const m = chained(placed.transform, outer);
  const d = determinant(m);
  if (!(Math.abs(d) > 0 && Number.isFinite(d)))
    throw new ScantlingError('THREEMF_INVALID', `The transform of object ${object.id} flattens it.`, { at: { line: placed.line }, remedy: 'Export the file again.' }); // prettier-ignore
  if (object.triangles.length > 0) addMesh(object, m, d < 0, sink);
  for (const component of object.components) addPlaced(pack, component, path, m, level + 1, sink);
}

function addMesh(object: ModelObject, m: readonly number[], mirror: boolean, sink: Sink): void {
  const { positions: p, triangles: t } = object;
  const { welder } = sink;
  if ((welder.corners + t.length) / 3 > MAX_FACETS) throw tooManyFacets();
  sink.mirrored ||= mirror;
  const index = new Int32Array(p.length / 3).fill(-1);
  const [a, b, c, d, e, f, g, h, i, x0, y0, z0] = m as number[] & { length: 12 };
  const weld = (v: number): number => {
    if (index[v] === -1) {
      const [x, y, z] = [p[3 * v] as number, p[3 * v + 1] as number, p[3 * v + 2] as number];
      const X = x * a! + y * d! + z * g! + x0!;
      const Y = x * b! + y * e! + z * h! + y0!;
      const Z = x * c! + y * f! + z * i! + z0!;
      if ((X + Y + Z) * 0 !== 0) throw new ScantlingError('NOT_FINITE', `The transform of object ${object.id} sends a vertex to infinity.`, { remedy: 'Export the file again.' }); // prettier-ignore
      index[v] = welder.vertexAt(X, Y, Z);
    }
    return index[v] as number;
  };
  for (let k = 0; k < t.length; k += 3) {
    const u = weld(t[k] as number);
    const v = weld(t[k + 1] as number);
    const w = weld(t[k + 2] as number);
    if (mirror) welder.facet(u, w, v);
    else welder.facet(u, v, w);
  }
}

/** First `inner`, then `outer`, both 3 x 3 rows and a row of shifts. */
function chained(inner: readonly number[], outer: readonly number[]): number[] {
  const out: number[] = [];
  for (let row = 0; row < 4; row++)
    for (let column = 0; column < 3; column++) {
      let sum = row === 3 ? (outer[9 + column] as number) : 0;
      for (let k = 0; k < 3; k++) sum += (inner[3 * row + k] as number) * (outer[3 * k + column] as number); // prettier-ignore
      out.push(sum);
    }
  return out;
}

const determinant = (m: readonly number[]): number =>
  m[0]! * (m[4]! * m[8]! - m[5]! * m[7]!) -
  m[1]! * (m[3]! * m[8]! - m[5]! * m[6]!) +
  m[2]! * (m[3]! * m[7]! - m[4]! * m[6]!);

/** The zip with its model parts, each read once. */
class Package {
  private readonly entries = new Map<string, ZipEntry>();
  private readonly models = new Map<string, Model>();
  private readonly bytes: Uint8Array;
  private root: string | undefined;

  private readonly context: Context | undefined;

  constructor(bytes: Uint8Array, context: Context | undefined) {
    this.bytes = bytes;
    this.context = context;
    // Part names are compared without regard to case (Open Packaging Conventions, 9.1.1).
    for (const [name, entry] of zipDirectory(bytes)) this.entries.set(key(name), entry);
  }

  /** The part the package's start relationship names. */
  rootPath(): string {
    this.root ??= this.findRoot();
    return this.root;
  }

  model(path: string): Model {
    const known = this.models.get(key(path));
    if (known) return known;
    const entry = this.entries.get(key(path));
    if (!entry)
      throw new ScantlingError('THREEMF_INVALID', `The package has no part ${path}.`, {
        remedy: 'Export the file again.',
      });
    const reader = new ModelReader(path);
    unpackEntry(this.bytes, entry, (piece) => {
      checkCancelled(this.context);
      reader.push(piece);
    });
    const model = reader.finish();
    const first = this.models.values().next().value;
    if (first && first.unit !== model.unit)
      throw new ScantlingError(
        'THREEMF_INVALID',
        `${path} is in ${model.unit}, the package's first model in ${first.unit}.`,
        { remedy: 'Export the file again in one unit.' },
      );
    this.models.set(key(path), model);
    return model;
  }

  object(placed: Placed, fromPath: string): ModelObject {
    const path = placed.path ?? fromPath;
    const object = this.model(path).objects.get(placed.objectId);
    if (!object)
      throw new ScantlingError('THREEMF_INVALID', `There is no object ${placed.objectId} in ${path}.`, { at: { line: placed.line }, remedy: 'Export the file again.' }); // prettier-ignore
    return object;
  }

  private findRoot(): string {
    const relations = this.entries.get('_rels/.rels');
    let target: string | undefined;
    if (relations) {
      const parser = new SaxesParser({ xmlns: true });
      const refuse = (): never => {
        throw new ScantlingError('XML_DAMAGED', '_rels/.rels cannot be read.', { remedy: 'Export the file again.' }); // prettier-ignore
      };
      parser.on('error', refuse);
      parser.on('doctype', refuse);
      parser.on('opentag', (tag) => {
        if (tag.attributes['Type']?.value === START) target ??= tag.attributes['Target']?.value;
      });
      const decoder = new TextDecoder();
      unpackEntry(this.bytes, relations, (piece) => parser.write(decoder.decode(piece, { stream: true }))); // prettier-ignore
      parser.close();
    }
    target ??= this.entries.get('3d/3dmodel.model')?.name;
    if (target === undefined)
      throw new ScantlingError('ZIP_ARCHIVE', 'This is a zip archive without a 3MF model in it.', {
        at: { byte: 0 },
        remedy: 'Unpack it and give the files inside.',
      });
    return target;
  }
}

const key = (path: string): string => path.replace(/^\/+/, '').toLowerCase();
