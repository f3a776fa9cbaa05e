import { chmodSync, existsSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'; // prettier-ignore
import { tmpdir } from 'node:os';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findPartFiles, readPartsFromFile } from '../../src/node.ts';
import {
  boundsOf, boxMesh, createReadBuffers, readParts, sizeOf, torusMesh, unitDoubt, write3mf, writeBinaryStl,
} from '../../src/index.ts'; // prettier-ignore
import { bytesOf, errorOf, sameMesh, stlModel } from '../read/helpers.ts';

let folder = '';
const at = (name: string): string => join(folder, name);
const box = writeBinaryStl(boxMesh([1, 2, 3]));

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'scantling-files-'));
  mkdirSync(at('kit/legs/left'), { recursive: true });
  mkdirSync(at('kit/.hidden'));
  for (const name of ['b.stl', 'A.STL', 'legs/c.Stl', 'legs/left/d.3MF', 'legs/left/e.obj', 'notes.txt', '.hidden/f.stl', '.g.stl']) writeFileSync(at(`kit/${name}`), box); // prettier-ignore
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const found = (paths: string[]) => {
  const { files, problems } = findPartFiles(paths);
  return { files: files.map((file) => relative(folder, file)), problems };
};
const KIT = [
  'kit/A.STL',
  'kit/b.stl',
  'kit/legs/c.Stl',
  'kit/legs/left/d.3MF',
  'kit/legs/left/e.obj',
];

describe('finding files', () => {
  it('finds part files of any case in all subfolders, in one order', () => {
    expect(found([at('kit')])).toEqual({ files: KIT, problems: [] });
  });

  it('takes a named file whatever its ending, and each file once', () => {
    const { files } = found([at('kit/notes.txt'), at('kit/legs'), at('kit'), at('kit/b.stl')]);
    expect(files[0]).toBe('kit/notes.txt');
    expect([...files].sort()).toEqual([...KIT, 'kit/notes.txt'].sort());
  });

  it('survives links in a circle, links to nothing and paths to nowhere', () => {
    symlinkSync(at('kit'), at('kit/legs/back-to-kit'));
    symlinkSync(at('kit/loop2.stl'), at('kit/loop1.stl'));
    symlinkSync(at('kit/loop1.stl'), at('kit/loop2.stl'));
    symlinkSync(at('kit/gone.stl'), at('kit/dangling.stl'));
    const { files, problems } = found([at('kit'), at('nowhere')]);
    expect(files).toEqual(KIT);
    expect(problems.map((p) => p.code)).toEqual(Array(4).fill('UNREADABLE_FILE'));
    expect(problems.map((p) => relative(folder, p.file ?? ''))).toEqual(['kit/dangling.stl', 'kit/loop1.stl', 'kit/loop2.stl', 'nowhere']); // prettier-ignore
    for (const name of ['legs/back-to-kit', 'loop1.stl', 'loop2.stl', 'dangling.stl']) rmSync(at(`kit/${name}`)); // prettier-ignore
  });

  it('reports a folder it may not read and goes on', () => {
    mkdirSync(at('kit/locked'));
    chmodSync(folder, 0o755);
    chmodSync(at('kit/locked'), 0o000);
    // The superuser may read everything: look as somebody else for a moment.
    const superuser = process.geteuid?.() === 0;
    if (superuser) process.seteuid?.(65534);
    const { files, problems } = found([at('kit')]);
    if (superuser) process.seteuid?.(0);
    chmodSync(at('kit/locked'), 0o755);
    rmSync(at('kit/locked'), { recursive: true });
    expect(files).toEqual(KIT);
    expect(problems.map((p) => [p.code, relative(folder, p.file ?? '')])).toEqual([['UNREADABLE_FILE', 'kit/locked']]); // prettier-ignore
  });
});

describe('reading files', () => {
  it('reads what readParts reads, in chunks', () => {
    const torus = torusMesh(50, 20, 250, 200);
    const samples = {
      'large.stl': writeBinaryStl(torus),
      'ascii.stl': stlModel('objects/gearwheel.ascii.stl'),
      'box.3mf': write3mf([{ name: 'box', mesh: boxMesh([1, 2, 3]) }]),
      't.obj': bytesOf('v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n'),
    };
    expect(samples['large.stl'].length).toBeGreaterThan(4 << 20);
    const buffers = createReadBuffers();
    for (const [name, bytes] of Object.entries(samples)) {
      writeFileSync(at(name), bytes);
      const [fromFile] = readPartsFromFile(at(name), { name, buffers });
      const [fromBytes] = readParts(bytes, { name });
      expect(sameMesh(fromFile!.mesh, fromBytes!.mesh), name).toBe(true);
      expect({ ...fromFile, mesh: null }).toEqual({ ...fromBytes, mesh: null });
    }
  });

  it('names the file in every error, the system’s refusals too', () => {
    writeFileSync(at('cut.stl'), box.subarray(0, 300));
    writeFileSync(at('empty.stl'), '');
    const fail = (name: string) => errorOf(() => readPartsFromFile(at(name)));
    expect([fail('cut.stl').code, fail('cut.stl').file]).toEqual(['STL_TRUNCATED', at('cut.stl')]);
    expect(fail('empty.stl').code).toBe('EMPTY_FILE');
    expect([fail('none.stl').code, fail('none.stl').file]).toEqual(['UNREADABLE_FILE', at('none.stl')]); // prettier-ignore
    expect(fail('kit').code).toBe('UNREADABLE_FILE');
  });

  it('tells its progress and stops on request', () => {
    writeFileSync(at('big.stl'), writeBinaryStl(torusMesh(50, 20, 250, 200)));
    const shares: number[] = [];
    readPartsFromFile(at('big.stl'), { context: { progress: (share) => shares.push(share) } });
    expect(shares.length).toBeGreaterThan(3);
    expect(shares.at(-1)).toBe(1);
    const stop = new AbortController();
    const context = { signal: stop.signal, progress: () => stop.abort() };
    expect(errorOf(() => readPartsFromFile(at('big.stl'), { context })).code).toBe('CANCELLED');
  });
});

const REAL = fileURLToPath(new URL('../../../../../shared/real-parts', import.meta.url));

describe('a published set of parts, when it lies beside the project', () => {
  it('reads all of it; the folder in metres is doubted, the one in millimetres is not', () => {
    if (!existsSync(REAL)) {
      expect(findPartFiles([REAL]).problems.length).toBe(1);
      return;
    }
    const { files, problems } = findPartFiles([REAL]);
    expect([files.length, problems.length]).toEqual([35, 0]);
    const parts = files.map((file) => {
      const [part] = readPartsFromFile(file, { seams: 'off' });
      const size = sizeOf(boundsOf(part?.mesh.positions ?? []));
      return { name: file, folder: join(file, '..'), size, unitKnown: false };
    });
    for (const together of [parts, parts.map((part) => ({ ...part, folder: 'one' }))]) {
      const doubted = unitDoubt(together).map((doubt) => doubt?.units.join() ?? '-');
      expect(doubted).toEqual(files.map((file) => (file.includes('openquadruped') ? 'm' : '-')));
    }
  });
});
