import { describe, expect, it } from 'vitest';
import { parseKit, pieceNames, updateKit } from '../../src/kit/index.ts';

const found = [
  { file: 'boot-left.stl', group: 'left leg' },
  { file: 'boot-right.stl', group: 'right leg', twinOf: 'boot-left.stl' },
];

describe('the kit file', () => {
  it('writes a first one that reads back, with groups in order', () => {
    const { text, added } = updateKit(null, found, 'Lamplighter');
    expect(added).toEqual(['boot-left.stl', 'boot-right.stl']);
    const kit = parseKit(text);
    expect(kit).toMatchObject({ name: 'Lamplighter', order: ['left leg', 'right leg'] });
    expect(kit.parts[1]).toMatchObject({ twinOf: 'boot-left.stl', quantity: 1, material: 'PLA', place: 'as modelled' }); // prettier-ignore
    expect(text.startsWith('# A kit')).toBe(true);
  });

  it('keeps comments, order and values through an update, and adds at the end', () => {
    const own = `# my figure\nname: Lamplighter # the tall one\nparts:\n  # prints badly\n  - file: boot-left.stl\n    material: PETG # outdoors\n    quantity: 2\n  - file: lost.stl\n`; // prettier-ignore
    const { text, added, gone } = updateKit(own, found, 'ignored');
    expect(added).toEqual(['boot-right.stl']);
    expect(gone).toEqual(['lost.stl']);
    for (const kept of ['# my figure', '# the tall one', '# prints badly', 'PETG # outdoors', 'lost.stl']) expect(text).toContain(kept); // prettier-ignore
    expect(parseKit(text).parts.map((p) => p.file)).toEqual(['boot-left.stl', 'lost.stl', 'boot-right.stl']); // prettier-ignore
    expect(parseKit(text).parts[0]).toMatchObject({ material: 'PETG', quantity: 2 });
    // A second update changes nothing.
    expect(updateKit(text, found, 'x').text).toBe(text);
    expect(updateKit(own, [{ file: 'boot-left.stl' }], 'x').text).toBe(own);
  });

  it.each([
    ['name: a\nparts:\n  - file: x.stl\n    wals: 3\n', 4, 'no such key'],
    ['name: a\nparts:\n  - file: x.stl\n    infill: 3\n', 4, 'infill'],
    ['name: a\nparts:\n  - file: x.stl\n  - file: x.stl\n', 4, 'listed twice'],
    ['name: a\nparts: [\n', 3, 'not valid YAML'],
  ])('names the line of a mistake: %j', (text, line, words) => {
    try {
      parseKit(text, 'my.yaml');
      expect.unreachable();
    } catch (error) {
      const e = error as { line: string; at: { line: number } };
      expect(e.at.line).toBe(line);
      expect(e.line).toContain(words);
      expect(e.line).toMatch(/^my\.yaml, line/);
    }
  });

  it('names copies of a piece', () => {
    expect(pieceNames({ file: 'coat/button.stl', quantity: 3 })).toEqual(['button', 'button#2', 'button#3']); // prettier-ignore
  });
});
