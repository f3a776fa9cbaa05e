/**
 * Facts about stl-models from exact rational arithmetic on the files' own numbers; the second
 * reader is three's STLLoader, which shares no code with ours.
 */
import { STLLoader } from 'three/addons/loaders/STLLoader.js';
import { describe, expect, it } from 'vitest';
import {
  boundsOf,
  createReadBuffers,
  readParts,
  sizeOf,
  stlReader,
  torusMesh,
  triangleCount,
  vertexCount,
  writeBinaryStl,
  type ReadOptions,
  type ReadPart,
} from '../../src/index.ts';
import { bytesOf, errorOf, sameMesh, soupOf, stlModel, volumeOf } from './helpers.ts';

const read = (bytes: Uint8Array, options?: ReadOptions): ReadPart => {
  const [part, ...others] = readParts(bytes, options);
  expect(others).toEqual([]);
  if (!part) throw new Error('no part');
  return part;
};

const inChunks = (bytes: Uint8Array, length: number, options: ReadOptions = {}): ReadPart => {
  const reader = stlReader(options);
  for (let i = 0; i < bytes.length; i += length) reader.push(bytes.slice(i, i + length));
  const [part] = reader.finish();
  if (!part) throw new Error('no part');
  return part;
};

const theirs = (bytes: Uint8Array): ArrayLike<number> =>
  new STLLoader().parse(bytes.slice().buffer).getAttribute('position').array;

describe('binary STL', () => {
  it('reads the Stanford bunny: 69451 facets, 34834 vertices, its size', () => {
    const part = read(stlModel('objects/bunny.bin.stl'), { name: 'bunny.stl' });
    expect(part.format).toBe('stl-binary');
    expect(triangleCount(part.mesh)).toBe(69451);
    expect(vertexCount(part.mesh)).toBe(34834);
    const size = sizeOf(boundsOf(part.mesh.positions));
    [0.155699, 0.154334, 0.120673].forEach((side, k) => expect(size[k]).toBeCloseTo(side, 6));
    expect(part.notes).toEqual([]);
  });

  it('gives every corner of the bunny as the second reader does, bit by bit', () => {
    const bytes = stlModel('objects/bunny.bin.stl');
    const soup = soupOf(read(bytes).mesh);
    const other = theirs(bytes);
    expect(other.length).toBe(soup.length);
    expect(soup.every((x, i) => x === other[i])).toBe(true);
  });

  it('reads the gearwheel: 1222 vertices, volume 8922.636658888', () => {
    const { mesh } = read(stlModel('objects/gearwheel.bin.stl'));
    expect([triangleCount(mesh), vertexCount(mesh)]).toEqual([2444, 1222]);
    expect(volumeOf(mesh)).toBeCloseTo(8922.636658888, 6);
  });

  it('is not fooled by a header that begins with solid', () => {
    const bytes = stlModel('broken/wrongHeader.bin.stl');
    expect(new TextDecoder().decode(bytes.subarray(0, 5))).toBe('solid');
    const part = read(bytes);
    expect([part.format, triangleCount(part.mesh), vertexCount(part.mesh)]).toEqual(['stl-binary', 12, 8]); // prettier-ignore
    // The same when the length does not help: cut short, or fed without a known size.
    expect(errorOf(() => readParts(bytes.slice(0, 400))).code).toBe('STL_TRUNCATED');
    expect(inChunks(bytes, 100).format).toBe('stl-binary');
  });

  it('welds -0 with 0', () => {
    const { mesh } = read(stlModel('polytopes/tetrahedronMinusZero.bin.stl'));
    expect(vertexCount(mesh)).toBe(4);
    expect(mesh.positions.some((x) => Object.is(x, -0))).toBe(false);
  });

  it('refuses a count the file does not hold, and says how many facets are there', () => {
    const error = errorOf(() => readParts(stlModel('broken/incorrectFaceCounter.bin.stl')));
    expect(error.code).toBe('STL_TRUNCATED');
    expect(error.message).toContain('66 facets');
    expect(error.message).toContain('after 4');
  });

  it('names a file that a text conversion has spoilt', () => {
    expect(errorOf(() => readParts(stlModel('misc/multiWordName.bin.stl'))).code).toBe('TEXT_MANGLED'); // prettier-ignore
  });

  it('gives the same mesh however the bytes are cut', () => {
    const bytes = stlModel('objects/gearwheel.bin.stl');
    const whole = read(bytes).mesh;
    for (const length of [1, 7, 49, 50, 51, 84, 4096]) {
      expect(sameMesh(inChunks(bytes, length).mesh, whole), `${length}`).toBe(true);
      const { mesh } = inChunks(bytes, length, { totalBytes: bytes.length });
      expect(sameMesh(mesh, whole), `${length}`).toBe(true);
    }
  });

  it('reads into kept buffers with the same result, large after small and small after large', () => {
    const buffers = createReadBuffers();
    for (const path of [
      'polytopes/cube.bin.stl',
      'objects/bunny.bin.stl',
      'objects/gearwheel.bin.stl',
    ]) {
      // prettier-ignore
      const bytes = stlModel(path);
      expect(sameMesh(read(bytes, { buffers }).mesh, read(bytes).mesh), path).toBe(true);
    }
  });

  it('owns arrays of just its length when no buffers are given', () => {
    const { mesh } = read(stlModel('objects/bunny.bin.stl'));
    expect(mesh.positions.buffer.byteLength).toBe(8 * mesh.positions.length);
    expect(mesh.triangles.buffer.byteLength).toBe(4 * mesh.triangles.length);
  });

  it('applies a given unit exactly: 1 in is 25.4 mm', () => {
    const bytes = stlModel('polytopes/unitCube.binary.stl');
    const inches = read(bytes, { unit: 'in' });
    expect(new Set(inches.mesh.positions.map(Math.abs))).toEqual(
      new Set(read(bytes).mesh.positions.map((x) => Math.abs(x * 25.4))),
    );
    expect([inches.sourceUnit, inches.unitFrom]).toEqual(['in', 'given']);
    expect(read(bytes).unitFrom).toBe('assumed');
    const side = (unit: 'mm' | 'cm' | 'in' | 'm'): number => sizeOf(boundsOf(read(bytes, { unit }).mesh.positions))[0]; // prettier-ignore
    expect([side('mm'), side('cm'), side('in'), side('m')]).toEqual([1, 10, 25.4, 1000]);
  });

  it('finds 20 000 vertices in a torus of 40 000 facets', () => {
    const { mesh } = read(writeBinaryStl(torusMesh(50, 20, 200, 100)));
    expect([vertexCount(mesh), triangleCount(mesh)]).toEqual([20_000, 40_000]);
  });
});

describe('ASCII STL', () => {
  const text = new TextDecoder().decode(stlModel('polytopes/tetrahedronIrregular.ascii.stl'));
  const expected = read(bytesOf(text)).mesh;

  it('reads the corner tetrahedron of volume 1', () => {
    expect(volumeOf(expected)).toBeCloseTo(1, 12);
  });

  it('agrees with the binary twin of the bunny within 7.5e-9', () => {
    const ascii = soupOf(read(stlModel('objects/bunny.ascii.stl')).mesh);
    const binary = soupOf(read(stlModel('objects/bunny.bin.stl')).mesh);
    expect(ascii.length).toBe(binary.length);
    const worst = ascii.reduce((m, x, i) => Math.max(m, Math.abs(x - (binary[i] ?? NaN))), 0);
    expect(worst).toBeLessThanOrEqual(7.5e-9);
  });

  it('gives every corner of the gearwheel as the second reader does', () => {
    const bytes = stlModel('objects/gearwheel.ascii.stl');
    const other = theirs(bytes);
    const soup = soupOf(read(bytes).mesh);
    expect(soup.length).toBe(other.length);
    // The other keeps float32.
    expect(soup.every((x, i) => Math.fround(x) === other[i])).toBe(true);
  });

  const variants: Record<string, string> = {
    'CR LF line ends': text.replace(/\r?\n/g, '\r\n'),
    'CR line ends': text.replace(/\r?\n/g, '\r'),
    'no line ends at all': text.replace(/\s+/g, ' '),
    'upper case': text.toUpperCase(),
    'tabs and blank lines': text.replace(/ /g, '\t').replace(/\n/g, '\n\n'),
    'exponents': text.replace(/vertex 3 0 0/g, 'vertex 3.0E+0 0e0 +0.0e-5'),
    'a byte order mark': `\ufeff${text}`,
    'no endsolid': text.replace(/endsolid[^\n]*\n?$/, ''),
    'no last line end': text.trimEnd(),
    'a name of keywords': text.replace(/^solid[^\n]*/, 'solid facet of the outer loop, vertex 1 2 3'),
    'no solid line': text.replace(/^solid[^\n]*\n/, ''),
    'text after endsolid': `${text}\nwith regards\n`,
    'normals that are no numbers': text.replace(/normal[^\n]*/g, 'normal nan -nan(ind) 1.#QNAN'),
    'no normals': text.replace(/facet normal[^\n]*/g, 'facet'),
  }; // prettier-ignore
  for (const [name, variant] of Object.entries(variants))
    it(`reads ${name}`, () => {
      expect(variant).not.toBe(text);
      const part = read(bytesOf(variant));
      expect(part.format).toBe('stl-ascii');
      expect(part.mesh).toEqual(expected);
    });

  it('gives the same mesh however the bytes are cut', () => {
    const bytes = stlModel('objects/gearwheel.ascii.stl');
    const whole = read(bytes).mesh;
    for (const length of [13, 1000, 65536])
      expect(sameMesh(inChunks(bytes, length).mesh, whole), `${length}`).toBe(true);
  });

  it('counts lines by any line end', () => {
    for (const end of ['\n', '\r', '\r\n']) {
      const wrong = text.replace(/\r?\n/g, '\n').replace(/vertex 3 0 0\n(?![\s\S]*vertex 3 0 0)/, 'vertex 3 x 0\n'); // prettier-ignore
      const line = wrong.split('\n').findIndex((l) => l.includes('3 x 0')) + 1;
      expect(line).toBeGreaterThan(1);
      expect(errorOf(() => readParts(bytesOf(wrong.replace(/\n/g, end)))).at).toEqual({ line });
    }
  });

  it('judges the stl-models kept for their defects', () => {
    const code = (file: string): string => errorOf(() => readParts(stlModel(`broken/${file}`))).code; // prettier-ignore
    expect(code('fourVertices.ascii.stl')).toBe('FACET_VERTEX_COUNT');
    expect(code('quad.ascii.stl')).toBe('FACET_VERTEX_COUNT');
    expect(code('twoVertices.ascii.stl')).toBe('FACET_VERTEX_COUNT');
    expect(code('empty.stl')).toBe('EMPTY_FILE');
    const facets = (file: string): number => triangleCount(read(stlModel(`broken/${file}`)).mesh);
    expect(facets('missingEndsolid.ascii.stl')).toBe(4);
    expect(facets('missingNormal.ascii.stl')).toBe(4);
    expect(facets('solidNameMismatch.ascii.stl')).toBe(4);
    expect(errorOf(() => readParts(stlModel('misc/faceless.ascii.stl'))).code).toBe('NO_FACETS');
  });
});
