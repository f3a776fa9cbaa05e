import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { brokenFiles, readme } from '../../../../fixtures/broken/make.ts';
import { readParts } from '../../src/index.ts';
import { errorOf } from './helpers.ts';

const committed = (file: string): Uint8Array =>
  new Uint8Array(readFileSync(new URL(`../../../../fixtures/broken/${file}`, import.meta.url)));

describe('broken files', () => {
  const files = brokenFiles();

  it('are many, each with a name of its own', () => {
    expect(files.length).toBeGreaterThan(30);
    expect(new Set(files.map((f) => f.file)).size).toBe(files.length);
  });

  it('are committed as the script makes them, and so is their list', () => {
    for (const { file, bytes } of files)
      expect(Buffer.from(committed(file)).equals(Buffer.from(bytes)), file).toBe(true);
    expect(new TextDecoder().decode(committed('README.md'))).toBe(readme());
  });

  for (const { file, defect, expected, readable, bytes } of files)
    it(`${file}: ${readable ? 'reads with the note' : 'gives the error'} ${expected} (${defect})`, () => {
      if (readable) {
        const [part] = readParts(bytes, { name: file });
        expect(part?.notes.map((note) => note.code)).toContain(expected);
        expect(part?.mesh.triangles.length).toBeGreaterThan(0);
        return;
      }
      const error = errorOf(() => readParts(bytes, { name: file }));
      expect(error.code).toBe(expected);
      expect(error.file).toBe(file);
      expect(error.remedy).toMatch(/\.$/);
      expect(error.line).not.toContain('\n');
    });

  it('name the place: byte of binary files, line of texts', () => {
    const at = (file: string) => {
      const found = files.find((f) => f.file === file);
      return errorOf(() => readParts(found?.bytes ?? new Uint8Array())).at;
    };
    // Facet 4's second corner, y: 84 + 50 * 3 + 12 (normal) + 12 (first corner) + 4.
    expect(at('nan.stl')).toEqual({ byte: 262 });
    expect(at('cut-short.stl')).toEqual({ byte: 84 + 50 * 7 + 13 });
    expect(at('count-too-small.stl')).toEqual({ byte: 84 + 50 * 4 });
    expect(at('ascii-nan.stl')).toEqual({ line: 6 });
    expect(at('ascii-two-vertices.stl')).toEqual({ line: 2 });
    expect(at('ascii-no-facets.stl')).toEqual({ line: 2 });
    expect(at('bad-index.obj')).toEqual({ line: 4 });
  });

  it('allocates nothing on the word of a header', () => {
    const claims = files.find((f) => f.file === 'claims-4-gb.stl');
    expect(claims?.bytes.length).toBe(684);
    const before = process.memoryUsage().arrayBuffers;
    for (let i = 0; i < 20; i++) errorOf(() => readParts(claims?.bytes ?? new Uint8Array()));
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(4e6);
  });
});
