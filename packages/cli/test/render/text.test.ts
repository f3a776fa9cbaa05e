import { describe, expect, it } from 'vitest';
import { csv } from '../../src/render/csv.ts';
import {
  bytes,
  counted,
  listed,
  mass,
  mm,
  mmTriple,
  scaleFactor,
} from '../../src/render/numbers.ts';
import { progressBar } from '../../src/render/progress.ts';
import { shorten, table, wrap } from '../../src/render/table.ts';
import { testIo } from '../testIo.ts';

const plain = { head: (text: string) => text, faint: (text: string) => text };

describe('numbers for people', () => {
  it('round lengths by their size and never print a negative zero', () => {
    expect([0.456, 12.34, 400.4, 9, -0.001, null, NaN].map(mm)).toEqual(['0.46', '12.3', '400', '9', '0', '-', '-']); // prettier-ignore
  });

  it('count digits where nobody would write them, and call what is tiny tiny', () => {
    expect([3e38, -2e7, 9_999_999].map(mm)).toEqual(['3.0e+38', '-2.0e+7', '9999999']);
    expect(mmTriple([1e-30, 0.02, 0])).toBe('<0.01 x 0.02 x 0');
    expect([2e32, 1234].map(scaleFactor)).toEqual(['2.0e+32', '1234']);
    expect([0.4, 340.2, 999.6, 12_500].map(mass)).toEqual(['0 g', '340 g', '1.00 kg', '12.50 kg']);
  });

  it('round a scale down: what is printed fits', () => {
    expect([0.99999, 1, 12.38, 250.9].map(scaleFactor)).toEqual(['0.999', '1.000', '12.3', '250']);
  });

  it('write sizes, counts and lists', () => {
    expect([999, 1000, 34_200_000].map(bytes)).toEqual(['999 B', '1 kB', '34.2 MB']);
    expect([counted(1, 'part'), counted(2, 'body', 'bodies')]).toEqual(['1 part', '2 bodies']);
    expect([[], ['a'], ['a', 'b'], ['a', 'b', 'c']].map(listed)).toEqual(['', 'a', 'a and b', 'a, b and c']); // prettier-ignore
  });
});

describe('table', () => {
  const columns = [
    { head: 'part', least: 8 },
    { head: 'size', align: 'right' as const },
    { head: 'more', optional: true },
  ];
  const rows = [
    ['coat_shell_front_left.stl', '12', 'x'],
    ['b.stl', '3', 'yy'],
  ];

  it('aligns, and ends no line in blanks', () => {
    expect(table(columns, rows, 80, plain)).toBe(
      [
        'part                       size  more',
        '-------------------------------------',
        'coat_shell_front_left.stl    12  x',
        'b.stl                         3  yy',
        '',
      ].join('\n'),
    );
  });

  it('keeps within any width down to its least: shortens first, then leaves columns out', () => {
    for (const width of [14, 18, 20, 30, 36, 60]) {
      const lines = table(columns, rows, width, plain).split('\n');
      expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(width);
    }
    expect(table(columns, rows, 20, plain)).toContain('coa..stl    12  x');
    expect(table(columns, rows, 16, plain)).not.toContain('more');
  });

  it('counts wide letters as the terminal does, and disarms control characters', () => {
    const text = table(columns, [['部品.stl', '1', '\u001b[31mred\nline']], 80, plain);
    expect(text).toContain('部品.stl     1  ?[31mred?line');
    expect(shorten('部品部品部品.stl', 9)).toBe('部品..stl');
  });
});

describe('wrap', () => {
  it('disarms control characters', () => {
    expect(wrap('a\u001b[31mb\nc is open', 20)).toBe('a?[31mb?c is open');
  });

  it('breaks at blanks and indents what follows', () => {
    expect(wrap('one two three four', 9, '  ')).toBe('one two\n  three\n  four');
  });
});

describe('csv', () => {
  it('quotes on need (RFC 4180) and leaves unknown empty', () => {
    expect(csv(['a', 'b'], [['x,"y"', 1.5], [null, true]])).toBe('a,b\n"x,""y""",1.5\n,true\n'); // prettier-ignore
  });
});

describe('progressBar', () => {
  it('is silent where stderr is no terminal, and one line that goes away where it is', () => {
    const quiet = testIo();
    progressBar(quiet, 3, 'scan').step('a');
    expect(quiet.err).toBe('');
    const io = testIo({ interactive: true, columns: 60 });
    const bar = progressBar(io, 1, 'scan');
    bar.step('torso.stl: split');
    bar.end();
    const frames = io.err.split('\r').filter(Boolean);
    expect(frames.map((frame) => frame.trimEnd())).toEqual([
      `scan [${'.'.repeat(24)}] 0/1`,
      `scan [${'#'.repeat(24)}] 1/1  torso.stl: split`,
      '',
    ]);
    expect(frames.every((frame) => frame.length === 59)).toBe(true);
  });
});
