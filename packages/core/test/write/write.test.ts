/**
 * The second readers: three's STLLoader for STL; for 3MF plain text rules of the Core Specification
 * 1.4.0 on what fflate unpacks (three's own 3MF loader needs a browser's DOM).
 */
import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { strFromU8, unzipSync } from 'fflate';
import { STLLoader } from 'three/addons/loaders/STLLoader.js';
import { describe, expect, it } from 'vitest';
import { ballMesh, boxMesh, readParts, torusMesh, write3mf, writeBinaryStl, type Mesh } from '../../src/index.ts'; // prettier-ignore
import { errorOf, sameMesh, soupOf, volumeOf } from '../read/helpers.ts';

const sha = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

describe('writing binary STL', () => {
  const torus = torusMesh(50, 20, 40, 30);

  it('writes 84 + 50 n bytes, and a second reader sees the same corners and outward normals', () => {
    const bytes = writeBinaryStl(torus);
    expect(bytes.length).toBe(84 + 50 * 2400);
    const geometry = new STLLoader().parse(bytes.slice().buffer);
    const corners = geometry.getAttribute('position').array;
    const soup = soupOf(torus);
    expect(corners.length).toBe(soup.length);
    expect(soup.every((x, i) => Math.fround(x) === corners[i])).toBe(true);
    const normals = geometry.getAttribute('normal').array;
    // On a torus about Z a facet's normal points away from the tube's middle circle.
    for (let i = 0; i < corners.length; i += 9) {
      const [x, y, z] = [0, 1, 2].map((k) => (soup[i + k]! + soup[i + 3 + k]! + soup[i + 6 + k]!) / 3) as [number, number, number]; // prettier-ignore
      const r = Math.hypot(x, y);
      const outward = normals[i]! * (x - (50 * x) / r) + normals[i + 1]! * (y - (50 * y) / r) + normals[i + 2]! * z; // prettier-ignore
      expect(outward).toBeGreaterThan(0);
      expect(Math.hypot(normals[i]!, normals[i + 1]!, normals[i + 2]!)).toBeCloseTo(1, 6);
    }
  });

  it('reads back to the same mesh when the numbers are float32, in any seed’s box', () => {
    const side = fc.float({ min: Math.fround(0.01), max: 1000, noNaN: true });
    const shift = fc.float({ min: -1000, max: 1000, noNaN: true });
    fc.assert(
      fc.property(side, side, side, shift, (x, y, z, s) => {
        const box = boxMesh([x, y, z], [s, 0, 0]);
        const rounded: Mesh = { positions: box.positions.map(Math.fround), triangles: box.triangles };
        const [part] = readParts(writeBinaryStl(rounded), { seams: 'off' });
        expect(soupOf(part!.mesh)).toEqual(soupOf(rounded));
      }),
      { seed: 21, numRuns: 200 },
    ); // prettier-ignore
  });

  it('writes the same bytes every time, with a header that no reader takes for text', () => {
    expect(sha(writeBinaryStl(torus))).toBe(sha(writeBinaryStl(torusMesh(50, 20, 40, 30))));
    const header = strFromU8(writeBinaryStl(torus, 'part 7').subarray(0, 80)).replace(/\0+$/, '');
    expect(header).toBe('part 7');
    for (const wrong of ['solid part', 'Solid', 'x'.repeat(81), 'Stück', 'a\nb']) expect(errorOf(() => writeBinaryStl(torus, wrong)).code).toBe('STL_HEADER'); // prettier-ignore
  });

  it('refuses what float32 cannot hold', () => {
    for (const x of [NaN, Infinity, 1e39]) expect(errorOf(() => writeBinaryStl(boxMesh([x, 1, 1]))).code).toBe('NOT_FINITE'); // prettier-ignore
  });
});

describe('writing 3MF', () => {
  const objects = [
    { name: 'left <boot> & "sole"', mesh: boxMesh([0.1, 0.2, 1 / 3]), partNumber: 'B-1' },
    { name: 'ball', mesh: ballMesh(7.3, 2) },
  ];

  it('reads back to the same doubles, names and order', () => {
    const parts = readParts(write3mf(objects, { title: 'kit' }));
    expect(parts.map((part) => part.name)).toEqual(['B-1', 'ball']);
    parts.forEach((part, i) => {
      expect([part.sourceUnit, part.unitFrom]).toEqual(['mm', 'file']);
      expect(Buffer.from(soupOf(part.mesh).buffer).equals(Buffer.from(soupOf(objects[i]!.mesh).buffer))).toBe(true); // prettier-ignore
    });
    expect(sameMesh(parts[1]!.mesh, readParts(write3mf([objects[1]!]))[0]!.mesh)).toBe(true);
    expect(volumeOf(parts[0]!.mesh)).toBeCloseTo(0.02 / 3, 15);
  });

  it('follows the package and core rules', () => {
    const files = unzipSync(write3mf(objects));
    expect(Object.keys(files)).toEqual(['[Content_Types].xml', '_rels/.rels', '3D/3dmodel.model']);
    expect(strFromU8(files['[Content_Types].xml']!)).toContain('Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"'); // prettier-ignore
    expect(strFromU8(files['_rels/.rels']!)).toContain('Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel" Target="/3D/3dmodel.model"'); // prettier-ignore
    const xml = strFromU8(files['3D/3dmodel.model']!);
    expect(xml).toMatch(/^<\?xml version="1\.0" encoding="UTF-8"\?>\n<model unit="millimeter"/);
    expect(xml).toContain('xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"');
    expect(xml).toContain('name="left &lt;boot&gt; &amp; &quot;sole&quot;"');
    expect(xml.match(/<vertex /g)?.length).toBe(8 + 162);
    expect(xml.match(/<triangle /g)?.length).toBe(12 + 320);
    expect(xml.match(/<item /g)?.length).toBe(2);
    // ST_Number of the specification's schema.
    for (const [, number] of xml.matchAll(/ [xyz]="([^"]*)"/g)) expect(number).toMatch(/^[+-]?(\d+(\.\d+)?|\.\d+)([eE][+-]?\d+)?$/); // prettier-ignore
  });

  it('shares each edge between exactly two triangles, by index and in opposite order', () => {
    const xml = strFromU8(unzipSync(write3mf([objects[1]!]))['3D/3dmodel.model']!);
    const directed = new Set<string>();
    for (const [, a, b, c] of xml.matchAll(/v1="(\d+)" v2="(\d+)" v3="(\d+)"/g))
      for (const edge of [`${a},${b}`, `${b},${c}`, `${c},${a}`]) {
        expect(directed.has(edge)).toBe(false);
        directed.add(edge);
      }
    expect(directed.size).toBe(960);
    for (const edge of directed) expect(directed.has(edge.split(',').reverse().join(','))).toBe(true); // prettier-ignore
  });

  it('writes the same bytes every time and in every time zone', () => {
    const zone = process.env.TZ;
    const hashes = ['UTC', 'Asia/Tokyo', 'America/Los_Angeles'].map((tz) => {
      process.env.TZ = tz;
      return sha(write3mf(objects));
    });
    if (zone === undefined) delete process.env.TZ;
    else process.env.TZ = zone;
    expect(new Set(hashes).size).toBe(1);
  });

  it('writes meshes larger than one piece', () => {
    const mesh = torusMesh(50, 20, 120, 100);
    expect(volumeOf(readParts(write3mf([{ name: 't', mesh }]))[0]!.mesh)).toBeCloseTo(volumeOf(mesh), 6); // prettier-ignore
  });

  it('refuses nothing and what is not finite', () => {
    expect(errorOf(() => write3mf([])).code).toBe('NO_FACETS');
    expect(errorOf(() => write3mf([{ name: 'a', mesh: { positions: new Float64Array(9), triangles: new Uint32Array([0, 0, 1]) } }])).code).toBe('NO_FACETS'); // prettier-ignore
    expect(errorOf(() => write3mf([{ name: 'a', mesh: boxMesh([NaN, 1, 1]) }])).code).toBe('NOT_FINITE'); // prettier-ignore
  });
});
