import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { byName, findFiles, outputStems, stem } from '../src/session.ts';
import { testIo } from './testIo.ts';

const cwd = mkdtempSync(join(tmpdir(), 'scantling-session-'));
afterAll(() => rmSync(cwd, { recursive: true, force: true }));
const io = testIo({ cwd });

mkdirSync(join(cwd, 'kit/deep/.hidden'), { recursive: true });
for (const name of ['kit/part_10.stl', 'kit/part_2.STL', 'kit/deep/a.3Mf', 'kit/deep/b.obj'])
  writeFileSync(join(cwd, name), 'x');
for (const name of ['kit/readme.txt', 'kit/deep/.hidden/c.stl', 'loose.bin'])
  writeFileSync(join(cwd, name), 'x');
symlinkSync('..', join(cwd, 'kit/deep/loop'));
symlinkSync('part_2.STL', join(cwd, 'kit/again.stl'));
symlinkSync('nowhere.stl', join(cwd, 'kit/dangling.stl'));
symlinkSync('circle', join(cwd, 'kit/circle'));

describe('findFiles', () => {
  it('walks subfolders once, any case, through loops of links, and names what it cannot follow', async () => {
    const found = await findFiles(io, ['kit']);
    // A file reached twice is there once, under the name that comes first.
    expect(found.files.map((file) => file.name)).toEqual([
      'kit/again.stl',
      'kit/deep/a.3Mf',
      'kit/deep/b.obj',
      'kit/part_10.stl',
    ]);
    expect(found.troubles).toEqual([
      'kit/circle: This link leads round in a circle. Remove the link.',
      'kit/dangling.stl: There is no such file. Check the path.',
    ]);
  });

  it('takes a file by name whatever its ending, and nothing twice', async () => {
    const found = await findFiles(io, ['loose.bin', './loose.bin', join(cwd, 'loose.bin')]);
    expect(found.files).toEqual([{ path: join(cwd, 'loose.bin'), name: 'loose.bin', bytes: 1 }]);
  });

  it('says that nothing is there', async () => {
    mkdirSync(join(cwd, 'empty'));
    await expect(findFiles(io, ['empty'])).rejects.toThrow('empty: no part files here');
    await expect(findFiles(io, ['gone'])).rejects.toThrow('gone: no such file or folder.');
  });
});

describe('names', () => {
  it('come in the order people count', () => {
    expect(['part_10', 'part_2', 'Part_1', 'a'].sort(byName)).toEqual(['a', 'Part_1', 'part_2', 'part_10']); // prettier-ignore
    expect(stem('x/y/z.tar.stl')).toBe('z.tar');
  });
});

describe('outputStems', () => {
  it('names outputs after the file, and apart where two files share a stem', () => {
    const names = ['a/boot.stl', 'b/Boot.STL', 'b/boot.obj', 'hat.stl', '../hat-2.stl', 'c/ü.stl'];
    expect([...outputStems(names).values()]).toEqual(['a-boot', 'b-Boot', 'b-boot-2', 'hat', 'hat-2', 'ü']); // prettier-ignore
    const all = [...outputStems([...names, 'd/hat.stl', 'd-hat.stl']).values()];
    expect(new Set(all.map((x) => x.toLowerCase())).size).toBe(all.length);
  });
});
