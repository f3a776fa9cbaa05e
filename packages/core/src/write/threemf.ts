import { strToU8, Zip, ZipDeflate } from 'fflate';
import { ScantlingError } from '../errors.ts';
import type { Mesh } from '../mesh/index.ts';

export interface NamedMesh {
  readonly name: string;
  /** In mm, where it is to stand. */
  readonly mesh: Mesh;
  /** The maker's own number for the part, if any. */
  readonly partNumber?: string;
}

export interface ThreeMfOptions {
  /** Title of the whole package. */
  readonly title?: string;
  /** Effort of the packing, 0 (none) to 9; 2 takes half the time of 6 for some 11 % more bytes. Default 6. */
  readonly level?: 0 | 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8 | 9;
}

const CONTENT_TYPES = `<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>
`;
const RELATIONSHIPS = `<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel" Target="/3D/3dmodel.model"/></Relationships>
`;

/** Lines of XML per piece handed to the packer. */
const LINES = 4096;

/**
 * A 3MF package (Core Specification 1.4.0) in millimetres: one object of type model and one build
 * item per mesh, in the order given. The same input gives the same bytes: entries carry the zip
 * format's first date. Numbers are written so that they read back to the same doubles.
 * Facets that name a vertex twice are left out, since the format forbids them.
 * @throws ScantlingError `NO_FACETS` without objects or for an object without facets, `NOT_FINITE`
 */
export function write3mf(objects: readonly NamedMesh[], options: ThreeMfOptions = {}): Uint8Array {
  if (objects.length === 0) throw new ScantlingError('NO_FACETS', 'There is no part to write.');
  const pieces: Uint8Array[] = [];
  const zip = new Zip((error, piece) => {
    if (error) throw error;
    pieces.push(piece);
  });
  addEntry(zip, '[Content_Types].xml', [CONTENT_TYPES]);
  addEntry(zip, '_rels/.rels', [RELATIONSHIPS]);
  addEntry(zip, '3D/3dmodel.model', modelXml(objects, options), options.level);
  zip.end();
  return joined(pieces);
}

function addEntry(
  zip: Zip,
  name: string,
  texts: Iterable<string>,
  level: NonNullable<ThreeMfOptions['level']> = 6,
): void {
  const entry = new ZipDeflate(name, { level });
  // Zip dates are local and begin in 1980: this one is written alike everywhere.
  entry.mtime = new Date(1980, 0, 1);
  zip.add(entry);
  for (const text of texts) entry.push(strToU8(text), false);
  entry.push(new Uint8Array(0), true);
}

function* modelXml(objects: readonly NamedMesh[], options: ThreeMfOptions): Generator<string> {
  yield `<?xml version="1.0" encoding="UTF-8"?>\n<model unit="millimeter" xml:lang="en-US" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">\n`;
  if (options.title !== undefined) yield `<metadata name="Title">${escaped(options.title)}</metadata>\n`; // prettier-ignore
  yield '<resources>\n';
  for (const [i, object] of objects.entries()) yield* objectXml(object, i + 1);
  yield '</resources>\n<build>\n';
  for (const [i, { partNumber }] of objects.entries()) yield `<item objectid="${i + 1}"${partNumber === undefined ? '' : ` partnumber="${escaped(partNumber)}"`}/>\n`; // prettier-ignore
  yield '</build>\n</model>\n';
}

function* objectXml({ name, mesh }: NamedMesh, id: number): Generator<string> {
  const { positions: p, triangles: t } = mesh;
  yield `<object id="${id}" type="model" name="${escaped(name)}"><mesh>\n<vertices>\n`;
  let text = '';
  for (let v = 0; v < p.length; v += 3) {
    const [x, y, z] = [p[v] as number, p[v + 1] as number, p[v + 2] as number];
    if ((x + y + z) * 0 !== 0) throw new ScantlingError('NOT_FINITE', `Vertex ${v / 3} of ${name} is not finite.`, { remedy: 'Repair the mesh before writing it.' }); // prettier-ignore
    text += `<vertex x="${x}" y="${y}" z="${z}"/>\n`;
    if ((v / 3) % LINES === LINES - 1) {
      yield text;
      text = '';
    }
  }
  text += '</vertices>\n<triangles>\n';
  let written = 0;
  for (let f = 0; f < t.length; f += 3) {
    const [a, b, c] = [t[f] as number, t[f + 1] as number, t[f + 2] as number];
    if (a === b || b === c || c === a) continue;
    text += `<triangle v1="${a}" v2="${b}" v3="${c}"/>\n`;
    if (++written % LINES === 0) {
      yield text;
      text = '';
    }
  }
  if (written === 0) throw new ScantlingError('NO_FACETS', `${name} has no facets to write.`);
  yield `${text}</triangles>\n</mesh></object>\n`;
}

/** Text for an XML attribute or element; characters XML cannot hold become a question mark. */
function escaped(text: string): string {
  const marks: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' }; // prettier-ignore
  return (
    text
      .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g, '?')
      .replace(/[&<>"]/g, (c) => marks[c] as string)
      .replace(/[\t\n\r]/g, ' ')
  ); // prettier-ignore
}

function joined(pieces: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(pieces.reduce((n, piece) => n + piece.length, 0));
  let at = 0;
  for (const piece of pieces) {
    all.set(piece, at);
    at += piece.length;
  }
  return all;
}
