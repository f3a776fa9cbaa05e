/** Facts from the 3MF Core Specification 1.4.0 and its production extension. */
import { strToU8, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { boundsOf, boxMesh, readParts, sizeOf, write3mf, ZIP_LIMITS, type ReadOptions, type ReadPart } from '../../src/index.ts'; // prettier-ignore
import { crc32, unpackEntry, zipDirectory } from '../../src/read/zip.ts';
import { bytesOf, errorOf, volumeOf } from './helpers.ts';

const CORE = 'http://schemas.microsoft.com/3dmanufacturing/core/2015/02';
const PRODUCTION = 'http://schemas.microsoft.com/3dmanufacturing/production/2015/06';
const MATERIAL = 'http://schemas.microsoft.com/3dmanufacturing/material/2015/02';
const RELS = `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel" Target="/3D/3dmodel.model"/></Relationships>`;

/** The corner tetrahedron (0,0,0), (3,0,0), (0,2,0), (0,0,1): volume 1, area 9. */
const MESH = `<mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="3" y="0" z="0"/><vertex x="0" y="2" z="0"/><vertex x="0" y="0" z="1"/></vertices><triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="0" v2="3" v3="2"/><triangle v1="1" v2="2" v3="3" pid="5" p1="0"/></triangles></mesh>`;

const model = (resources: string, build: string, attributes = 'unit="millimeter"'): string =>
  `<?xml version="1.0" encoding="UTF-8"?>\n<model ${attributes} xml:lang="en-US" xmlns="${CORE}"><metadata name="Title">t</metadata><resources>${resources}</resources><build>${build}</build></model>`;
const packed = (root: string, more: Record<string, string> = {}): Uint8Array =>
  zipSync({
    '[Content_Types].xml': strToU8('<Types/>'),
    '_rels/.rels': strToU8(RELS),
    '3D/3dmodel.model': strToU8(root),
    ...Object.fromEntries(Object.entries(more).map(([name, text]) => [name, strToU8(text)])),
  });
const read = (root: string, options?: ReadOptions): ReadPart[] => readParts(packed(root), options);
const boxOf = (part: ReadPart | undefined) => boundsOf(part?.mesh.positions ?? []);
const code = (root: string, more?: Record<string, string>): string =>
  errorOf(() => readParts(packed(root, more))).code;
const ONE = `<object id="1" type="model">${MESH}</object>`;

describe('3MF', () => {
  it('gives one part per build item, moved by its transform', () => {
    const parts = read(model(`<object id="1" name="wedge">${MESH}</object><object id="9">${MESH}</object>`, '<item objectid="1"/><item objectid="1" transform="1 0 0 0 1 0 0 0 1 10 20 30" partnumber="W-2"/>'), { name: 'kit.3mf' }); // prettier-ignore
    expect(parts.map((part) => part.name)).toEqual(['kit.3mf [wedge]', 'kit.3mf [W-2]']);
    expect(boxOf(parts[1])).toEqual({ min: [10, 20, 30], max: [13, 22, 31] });
    for (const part of parts) expect(volumeOf(part.mesh)).toBeCloseTo(1, 10);
    expect(parts[0]?.mesh.positions.length).toBe(12);
  });

  it('knows the six units and millimetres by default', () => {
    const side = (attributes: string): number => sizeOf(boxOf(read(model(ONE, '<item objectid="1"/>', attributes))[0]))[0]; // prettier-ignore
    expect(side('')).toBe(3);
    const sides = ['micron', 'millimeter', 'centimeter', 'inch', 'foot', 'meter'].map((unit) => side(`unit="${unit}"`)); // prettier-ignore
    [0.003, 3, 30, 3 * 25.4, 3 * 304.8, 3000].forEach((mm, k) => expect(sides[k]).toBe(mm));
    expect(code(model(ONE, '<item objectid="1"/>', 'unit="parsec"'))).toBe('THREEMF_INVALID');
  });

  it('keeps the unit of the file against a given one, and says so', () => {
    const [part] = read(model(ONE, '<item objectid="1"/>', 'unit="inch"'), { unit: 'm' });
    expect(sizeOf(boxOf(part))[0]).toBeCloseTo(76.2, 12);
    expect([part?.sourceUnit, part?.unitFrom]).toEqual(['in', 'file']);
    expect(part?.notes.map((note) => note.code)).toEqual(['UNIT_IN_FILE_KEPT']);
  });

  it('turns by the matrix with points as rows: x goes to y under 0 1 0 -1 0 0 0 0 1', () => {
    const [part] = read(model(ONE, '<item objectid="1" transform="0 1 0 -1 0 0 0 0 1 0 0 0"/>'));
    expect(boxOf(part)).toEqual({ min: [-2, 0, 0], max: [0, 3, 1] });
    expect(volumeOf(part!.mesh)).toBeCloseTo(1, 12);
  });

  it('keeps the inside inside under a transform that mirrors', () => {
    const [part] = read(model(ONE, '<item objectid="1" transform="-2 0 0 0 1 0 0 0 1 0 0 0"/>'));
    expect(boxOf(part)).toEqual({ min: [-6, 0, 0], max: [0, 2, 1] });
    expect(volumeOf(part!.mesh)).toBeCloseTo(2, 12);
    expect(part?.notes.map((note) => note.code)).toEqual(['MIRRORED']);
  });

  it('applies a component’s transform first, then the item’s', () => {
    const [part] = read(model(`${ONE}<object id="2"><components><component objectid="1" transform="1 0 0 0 1 0 0 0 1 5 0 0"/><component objectid="1"/></components></object>`, '<item objectid="2" transform="2 0 0 0 2 0 0 0 2 0 0 100"/>')); // prettier-ignore
    expect(boxOf(part)).toEqual({ min: [0, 0, 100], max: [16, 4, 102] });
    expect(volumeOf(part!.mesh)).toBeCloseTo(16, 10);
  });

  it('passes over items that are no parts', () => {
    const support = `<object id="2" type="support">${MESH}</object>`;
    const parts = read(model(ONE + support, '<item objectid="2"/><item objectid="1"/>'));
    expect(parts.length).toBe(1);
    expect(parts[0]?.notes.map((note) => note.code)).toEqual(['OBJECT_SKIPPED']);
    expect(code(model(ONE, ''))).toBe('NO_FACETS');
  });

  it('reads objects from other model parts by the production extension', () => {
    const root = model('<object id="1"><components><component objectid="7" p:path="/3D/other.model" p:UUID="x"/></components></object>', '<item objectid="1"/>', `unit="inch" xmlns:p="${PRODUCTION}" requiredextensions="p"`); // prettier-ignore
    const other = model(`<object id="7">${MESH}</object>`, '', 'unit="inch"');
    const [part] = readParts(packed(root, { '3D/Other.model': other }));
    expect(volumeOf(part!.mesh) / 25.4 ** 3).toBeCloseTo(1, 12);
    expect(code(root)).toBe('THREEMF_INVALID');
    expect(code(root, { '3D/other.model': other.replace('inch', 'foot') })).toBe('THREEMF_INVALID');
  });

  it('accepts a required extension that changes no shape, refuses an unknown one by name', () => {
    expect(read(model(ONE, '<item objectid="1"/>', `xmlns:m="${MATERIAL}" requiredextensions="m"`)).length).toBe(1); // prettier-ignore
    const unknown = 'xmlns:q="http://schemas.microsoft.com/3dmanufacturing/quilting/2030/01"';
    const error = errorOf(() => read(model(ONE, '<item objectid="1"/>', `${unknown} requiredextensions="q"`))); // prettier-ignore
    expect(error.code).toBe('THREEMF_EXTENSION');
    expect(error.message).toContain('quilting/2030/01');
    const [part] = read(model(ONE, '<item objectid="1"/>', unknown));
    expect(part?.notes.map((note) => note.code)).toEqual(['EXTENSION_IGNORED']);
  });

  it('refuses what cannot be a part', () => {
    const item = '<item objectid="1"/>';
    expect(code(model(ONE, '<item objectid="3"/>'))).toBe('THREEMF_INVALID');
    expect(code(model(ONE + ONE, item))).toBe('THREEMF_INVALID');
    expect(code(model(ONE.replace('x="3"', 'x="nan"'), item))).toBe('NOT_FINITE');
    expect(code(model(ONE.replace('x="3"', 'x="1e999"'), item))).toBe('NOT_FINITE');
    expect(code(model(ONE.replace('v2="2"', 'v2="-1"'), item))).toBe('THREEMF_INDEX');
    expect(code(model(ONE, '<item objectid="1" transform="1 0 0"/>'))).toBe('THREEMF_INVALID');
    expect(code(model(ONE, '<item objectid="1" transform="1 0 0 0 1 0 0 0 0 0 0 0"/>'))).toBe('THREEMF_INVALID'); // prettier-ignore
    expect(code(model(ONE, item).replace('</build>', ''))).toBe('XML_DAMAGED');
    expect(code(model(ONE, item).replace('"Title">t', '"Title">&lol;'))).toBe('XML_DAMAGED');
    expect(code('<html></html>')).toBe('THREEMF_INVALID');
  });

  it('stops components that multiply each other', () => {
    let resources = ONE;
    for (let id = 2; id <= 30; id++) resources += `<object id="${id}"><components>${`<component objectid="${id - 1}"/>`.repeat(4)}</components></object>`; // prettier-ignore
    expect(code(model(resources, '<item objectid="30"/>'))).toBe('THREEMF_INVALID');
  });

  it('reads UTF-16 and text cut inside a letter', () => {
    const text = model(ONE.replace('type="model"', `name="Glocke ${'ü'.repeat(30_000)}"`), '<item objectid="1"/>'); // prettier-ignore
    expect(read(text)[0]?.name).toContain('üü');
    const wide = new Uint8Array(Buffer.from(`\ufeff${text.replace('UTF-8', 'UTF-16')}`, 'utf16le'));
    const [part] = readParts(zipSync({ '_rels/.rels': strToU8(RELS), '3D/3dmodel.model': wide }));
    expect(volumeOf(part!.mesh)).toBeCloseTo(1, 12);
  });
});

describe('zip', () => {
  const archive = packed(model(ONE, '<item objectid="1"/>'));
  const entry = () => zipDirectory(archive).get('3D/3dmodel.model')!;

  it('computes the published check value of CRC-32: "123456789" gives CBF43926', () => {
    expect(crc32(0, bytesOf('123456789'))).toBe(0xcbf43926);
    expect(crc32(crc32(0, bytesOf('1234')), bytesOf('56789'))).toBe(0xcbf43926);
  });

  it('believes no size in the directory', () => {
    const lying = { ...entry(), bytes: 2 ** 40 };
    expect(errorOf(() => unpackEntry(archive, lying, () => undefined)).code).toBe('ZIP_DAMAGED');
    const packedLie = { ...entry(), packedBytes: 2 ** 40 };
    expect(errorOf(() => unpackEntry(archive, packedLie, () => undefined)).code).toBe('ZIP_DAMAGED'); // prettier-ignore
  });

  it('stops at each limit', () => {
    const limits = { ...ZIP_LIMITS, freeBytes: 0 };
    const stop = (change: Partial<typeof limits>): string => errorOf(() => unpackEntry(archive, entry(), () => undefined, { ...limits, ...change })).code; // prettier-ignore
    expect(stop({ ratio: 1 })).toBe('ZIP_LIMIT');
    expect(stop({ entryBytes: 10 })).toBe('ZIP_LIMIT');
    expect(errorOf(() => zipDirectory(archive, { ...limits, entries: 2 })).code).toBe('ZIP_LIMIT');
  });

  it('reads stored entries and finds a damaged byte by its checksum', () => {
    const stored = zipSync({ 'a.txt': [strToU8('some text'), { level: 0 }] });
    const get = (bytes: Uint8Array): string => {
      let text = '';
      unpackEntry(bytes, zipDirectory(bytes).get('a.txt')!, (piece) => (text += new TextDecoder().decode(piece))); // prettier-ignore
      return text;
    };
    expect(get(stored)).toBe('some text');
    const damaged = stored.slice();
    damaged[damaged.indexOf('x'.charCodeAt(0), 35)]! ^= 1;
    expect(errorOf(() => get(damaged)).code).toBe('ZIP_DAMAGED');
  });

  it('reads what the writer wrote, whatever it holds besides', () => {
    expect(readParts(write3mf([{ name: 'a', mesh: boxMesh([1, 2, 3]) }])).length).toBe(1);
  });
});
