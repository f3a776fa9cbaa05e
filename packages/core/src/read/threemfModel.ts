import { SaxesParser, type SaxesTagNS } from 'saxes';
import { ScantlingError } from '../errors.ts';
import type { LengthUnit } from '../units.ts';
import { MAX_FACETS, type ReadNote } from './types.ts';
import { tooManyFacets } from './facetWelder.ts';
import { parseDecimal } from './decimal.ts';

/**
 * One model part of a 3MF package as plain data (3MF Core Specification 1.4.0: model, resources,
 * object, mesh, components, build). Colours, textures and metadata change no shape and are passed
 * over. XML is read as a stream; documents that declare types or entities of their own are refused.
 */
export interface Model {
  readonly unit: LengthUnit;
  readonly objects: ReadonlyMap<string, ModelObject>;
  readonly items: readonly Placed[];
  readonly notes: readonly ReadNote[];
}

export interface ModelObject {
  readonly id: string;
  readonly name: string;
  /** model, solidsupport, support, surface or other */
  readonly type: string;
  readonly positions: Float64Array;
  readonly triangles: Uint32Array;
  readonly components: readonly Placed[];
}

/** A reference to an object, with the path of its model part when that is another one. */
export interface Placed {
  readonly objectId: string;
  readonly path: string | undefined;
  /** m00 m01 m02 m10 .. m32: rows; the point is a row and stands left of the matrix. */
  readonly transform: readonly number[];
  readonly partNumber: string;
  readonly line: number;
}

const CORE = 'http://schemas.microsoft.com/3dmanufacturing/core/2015/02';
const PRODUCTION = 'http://schemas.microsoft.com/3dmanufacturing/production/2015/06';
/** Extensions a file may require: production is read, materials and their likes change no shape. */
const KNOWN = new Set([
  CORE,
  PRODUCTION,
  'http://schemas.microsoft.com/3dmanufacturing/material/2015/02',
]);

const UNITS: Readonly<Record<string, LengthUnit>> = {
  micron: 'um', millimeter: 'mm', centimeter: 'cm', inch: 'in', foot: 'ft', meter: 'm',
}; // prettier-ignore

const IDENTITY = [1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0] as const;

/** The object being read. */
interface Draft {
  id: string;
  name: string;
  type: string;
  positions: Float64Array;
  coordinates: number;
  triangles: Uint32Array;
  corners: number;
  components: Placed[];
}

/** Takes the bytes of one model part in pieces. `path` is named in errors. */
export class ModelReader {
  private readonly parser = new SaxesParser({ xmlns: true, position: true });
  private decoder: InstanceType<typeof TextDecoder> | undefined;
  private unit: LengthUnit = 'mm';
  private readonly objects = new Map<string, ModelObject>();
  private readonly items: Placed[] = [];
  private readonly notes: ReadNote[] = [];
  private draft: Draft | undefined;
  private started = false;
  private readonly path: string;

  constructor(path: string) {
    this.path = path;
    this.parser.on('error', (error) => {
      throw this.invalid('XML_DAMAGED', `${path}: ${error.message.replace(/^.*?:\d+:\d+: /, '')}`);
    });
    this.parser.on('doctype', () => {
      throw this.invalid('XML_DOCTYPE', `${path} declares a document type; 3MF files never do.`);
    });
    this.parser.on('opentag', (tag) => this.open(tag));
    this.parser.on('closetag', (tag) => this.close(tag));
  }

  push(piece: Uint8Array): void {
    this.decoder ??= new TextDecoder(encodingOf(piece), { fatal: true });
    this.parser.write(this.decode(piece, true));
  }

  finish(): Model {
    this.parser.write(this.decode(new Uint8Array(0), false)).close();
    if (!this.started) throw this.invalid('THREEMF_INVALID', `${this.path} holds no 3MF model.`);
    return { unit: this.unit, objects: this.objects, items: this.items, notes: this.notes };
  }

  private decode(piece: Uint8Array, stream: boolean): string {
    try {
      return (this.decoder ??= new TextDecoder()).decode(piece, { stream });
    } catch {
      throw this.invalid('XML_DAMAGED', `${this.path} is not text in the encoding it claims.`);
    }
  }

  private open(tag: SaxesTagNS): void {
    if (!this.started) {
      if (tag.local !== 'model' || tag.uri !== CORE) throw this.invalid('THREEMF_INVALID', `${this.path} holds no 3MF model.`); // prettier-ignore
      this.started = true;
      this.model(tag);
      return;
    }
    if (tag.uri !== CORE) return;
    switch (tag.local) {
      case 'vertex':
        return this.vertex(tag);
      case 'triangle':
        return this.triangle(tag);
      case 'object':
        return this.object(tag);
      case 'component':
        this.draft?.components.push(this.placed(tag));
        return;
      case 'item':
        this.items.push(this.placed(tag));
        return;
      default:
    }
  }

  private model(tag: SaxesTagNS): void {
    const unit = attribute(tag, 'unit') ?? 'millimeter';
    const known = UNITS[unit];
    if (!known) throw this.invalid('THREEMF_INVALID', `"${unit}" is no 3MF unit.`);
    this.unit = known;
    for (const prefix of words(attribute(tag, 'requiredextensions'))) {
      const uri = tag.ns[prefix] ?? prefix;
      if (!KNOWN.has(uri))
        throw this.invalid(
          'THREEMF_EXTENSION',
          `The file requires the extension ${prefix} (${uri}), which is not read here.`,
          'Export it without that extension, for example as plain 3MF or STL.',
        );
    }
    for (const [prefix, uri] of Object.entries(tag.ns))
      if (prefix !== '' && /\/3dmanufacturing\//.test(uri) && !KNOWN.has(uri))
        this.notes.push({
          code: 'EXTENSION_IGNORED',
          message: `What the extension ${prefix} (${uri}) adds was passed over; the file does not require it.`,
        });
  }

  private object(tag: SaxesTagNS): void {
    this.draft = {
      id: this.need(tag, 'id'),
      name: attribute(tag, 'name') ?? '',
      type: attribute(tag, 'type') ?? 'model',
      positions: new Float64Array(192),
      coordinates: 0,
      triangles: new Uint32Array(192),
      corners: 0,
      components: [],
    };
  }

  private close(tag: SaxesTagNS): void {
    if (tag.local !== 'object' || tag.uri !== CORE || !this.draft) return;
    const { id, name, type, components } = this.draft;
    if (this.objects.has(id)) throw this.invalid('THREEMF_INVALID', `Two objects have the id ${id}.`); // prettier-ignore
    const positions = this.draft.positions.slice(0, this.draft.coordinates);
    const triangles = this.draft.triangles.slice(0, this.draft.corners);
    const known = positions.length / 3;
    const wrong = triangles.findIndex((v) => v >= known);
    if (wrong >= 0) throw this.invalid('THREEMF_INDEX', `Triangle ${Math.floor(wrong / 3)} of object ${id} names vertex ${triangles[wrong] as number} of ${known}.`); // prettier-ignore
    this.objects.set(id, { id, name, type, positions, triangles, components });
    this.draft = undefined;
  }

  private vertex(tag: SaxesTagNS): void {
    const draft = this.draft;
    if (!draft) return;
    const n = draft.coordinates;
    if (n + 3 > draft.positions.length) draft.positions = doubled(draft.positions, new Float64Array(2 * draft.positions.length)); // prettier-ignore
    draft.positions[n] = this.number(this.need(tag, 'x'));
    draft.positions[n + 1] = this.number(this.need(tag, 'y'));
    draft.positions[n + 2] = this.number(this.need(tag, 'z'));
    draft.coordinates = n + 3;
  }

  private triangle(tag: SaxesTagNS): void {
    const draft = this.draft;
    if (!draft) return;
    const n = draft.corners;
    if (n >= 3 * MAX_FACETS) throw tooManyFacets();
    if (n + 3 > draft.triangles.length) draft.triangles = doubled(draft.triangles, new Uint32Array(2 * draft.triangles.length)); // prettier-ignore
    draft.triangles[n] = this.index(this.need(tag, 'v1'));
    draft.triangles[n + 1] = this.index(this.need(tag, 'v2'));
    draft.triangles[n + 2] = this.index(this.need(tag, 'v3'));
    draft.corners = n + 3;
  }

  private placed(tag: SaxesTagNS): Placed {
    const transform = words(attribute(tag, 'transform')).map((word) => this.number(word));
    if (transform.length !== 0 && transform.length !== 12) throw this.invalid('THREEMF_INVALID', `A transform has ${transform.length} numbers instead of 12.`); // prettier-ignore
    return {
      objectId: this.need(tag, 'objectid'),
      path: attribute(tag, 'path', PRODUCTION),
      transform: transform.length === 12 ? transform : IDENTITY,
      partNumber: attribute(tag, 'partnumber') ?? '',
      line: this.parser.line,
    };
  }

  private number(word: string): number {
    const trimmed = word.trim();
    const bytes = Uint8Array.from(trimmed, (c) => Math.min(255, c.charCodeAt(0)));
    const value = parseDecimal(bytes, 0, bytes.length);
    if (value - value !== 0) throw this.invalid('NOT_FINITE', `"${trimmed.slice(0, 30)}" is not a finite number.`); // prettier-ignore
    return value;
  }

  private index(word: string): number {
    const value = /^\s*\d{1,10}\s*$/.test(word) ? Number(word) : -1;
    if (value < 0 || value >= 2 ** 31) throw this.invalid('THREEMF_INDEX', `"${word.slice(0, 30)}" is no vertex number.`); // prettier-ignore
    return value;
  }

  private need(tag: SaxesTagNS, name: string): string {
    const value = attribute(tag, name);
    if (value === undefined)
      throw this.invalid('THREEMF_INVALID', `<${tag.local}> has no ${name}.`);
    return value;
  }

  private invalid(
    code: string,
    message: string,
    remedy = 'Export the file again.',
  ): ScantlingError {
    return new ScantlingError(code, message, {
      at: { line: this.parser.line, column: this.parser.column + 1 },
      remedy,
    });
  }
}

/** Attributes of the core have no prefix; those of an extension are found by its namespace. */
function attribute(tag: SaxesTagNS, name: string, uri?: string): string | undefined {
  if (uri === undefined) return tag.attributes[name]?.value;
  return Object.values(tag.attributes).find((a) => a.local === name && a.uri === uri)?.value;
}

const words = (text: string | undefined): string[] => (text ?? '').split(/\s+/).filter(Boolean);

function doubled<T extends Float64Array | Uint32Array>(from: T, to: T): T {
  to.set(from);
  return to;
}

const encodingOf = (start: Uint8Array): string =>
  start[0] === 0xff && start[1] === 0xfe
    ? 'utf-16le'
    : start[0] === 0xfe && start[1] === 0xff
      ? 'utf-16be'
      : 'utf-8';
