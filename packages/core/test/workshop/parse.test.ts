import { describe, expect, it } from 'vitest';
import { ScantlingError } from '../../src/errors.ts';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { parseWorkshop, workshopOf, workshopTemplate } from '../../src/workshop/index.ts';

const failure = (text: string): ScantlingError => {
  try {
    parseWorkshop(text, 'shop.yaml');
  } catch (error) {
    if (error instanceof ScantlingError) return error;
    throw error;
  }
  throw new Error('read without complaint');
};

describe('parseWorkshop', () => {
  it('reads boxes, round plates, outlines, margins and keep-outs', () => {
    const { machines } = parseWorkshop(`
machines:
  - name: a
    plate: { box: [220, 200] }
    height: 250
    margin: { side: 3, top: 2 }
    keepOut:
      - { name: clip, min: [-10, 90, 0], max: [10, 100, 5] }
  - { name: b, plate: { round: 300 }, height: 400 }
  - name: c
    plate: { outline: [[0, 0], [0, 100], [50, 150], [100, 100], [100, 0], [50, 0]] }
    height: 90
`);
    expect(machines.map((machine) => machine.envelope)).toEqual([
      {
        name: 'a',
        plate: { shape: 'box', widthMm: 220, depthMm: 200 },
        heightMm: 250,
        marginSideMm: 3,
        marginTopMm: 2,
        keepOuts: [{ name: 'clip', minMm: [-10, 90, 0], maxMm: [10, 100, 5] }],
      },
      {
        name: 'b',
        plate: { shape: 'round', diameterMm: 300 },
        heightMm: 400,
        marginSideMm: 0,
        marginTopMm: 0,
        keepOuts: [],
      },
      {
        name: 'c',
        // Counter-clockwise whatever the file's order; the point in the middle of an edge is gone.
        plate: {
          shape: 'polygon',
          outlineMm: [[100, 0], [100, 100], [50, 150], [0, 100], [0, 0]], // prettier-ignore
        },
        heightMm: 90,
        marginSideMm: 0,
        marginTopMm: 0,
        keepOuts: [],
      },
    ]);
  });

  it.each([
    ['machines:\n  - name: a\n    plate: { box: [220, 220] }\n', 'shop.yaml, line 2, column 5: machines[0].height: is missing.'],
    ['machines:\n  - name: a\n    plate: { box: [220, 220] }\n    height: tall\n', 'shop.yaml, line 4, column 13: machines[0].height: must be a number.'],
    ['machines:\n  - name: a\n    plate: { box: [220, -1] }\n    height: 5\n', 'shop.yaml, line 3, column 25: machines[0].plate.box[1]: must be above 0.'],
    ['machines:\n  - name: a\n    plate: { round: wide }\n    height: 5\n', 'shop.yaml, line 3, column 21: machines[0].plate.round: must be a number.'],
    ['machines:\n  - name: a\n    plate: { box: [9, 9] }\n    heigth: 5\n    height: 5\n', 'shop.yaml, line 4, column 5: machines[0].heigth: there is no such key here.'],
    ['machines:\n  - name: a\n    plate: { box: [9, 9] }\n    height: 5\n    margin: { side: 5 }\n', 'shop.yaml, line 5, column 13: machines[0].margin: a: a side margin of 5 mm leaves no plate. Make it smaller.'],
    ['machines:\n  - &m { name: a, plate: { box: [9, 9] }, height: 5 }\n  - *m\n', 'shop.yaml, line 3, column 5: machines[1].name: "a" is used twice; give each machine its own.'],
    ['', 'shop.yaml, line 1, column 1: must be a block of keys.'],
    ['machines: []\n', 'shop.yaml, line 1, column 11: machines: needs at least one entry.'],
  ])('names line, column and key: %j', (text, line) => {
    expect(failure(text).code).toBe('WORKSHOP_KEY');
    expect(failure(text).line).toBe(line);
  }); // prettier-ignore

  it('names the line of text that is no YAML, of a key given twice and of an alias bomb', () => {
    expect(failure('machines:\n  - name: [a\n').line).toMatch(
      /^shop.yaml, line 3, column 1: this is not/,
    );
    expect(failure('machines: 1\nmachines: 2\n').line).toMatch(
      /^shop.yaml, line 2, column 1: .*unique/,
    );
    const bomb =
      'a: &a [x, x, x, x, x, x, x, x, x, x]\n' +
      'bcdefghi'.replace(/./g, (key, i: number) => {
        const before = 'abcdefgh'[i] ?? '';
        return `${key}: &${key} [${Array(10).fill(`*${before}`).join(', ')}]\n`;
      });
    expect(failure(bomb).code).toBe('WORKSHOP_SYNTAX');
  });

  it.each([
    [[[0, 0], [10, 0], [5, 5], [10, 10], [0, 10]], 'turns inwards'],
    [[[0, 0], [10, 10], [20, 20]], 'no area'],
    [[[0, 3], [2, -3], [-3, 1], [3, 1], [-2, -3]], 'more than once'],
    [[[0, 0], [0, 0], [1, 1]], 'three different'],
  ])('refuses the outline %j: %s', (outline, words) => {
    const error = failure(`machines:\n  - name: a\n    height: 5\n    plate:\n      outline: ${JSON.stringify(outline)}\n`);
    expect(error.line).toMatch(/^shop.yaml, line 5, column 16: machines\[0\].plate.outline: /);
    expect(error.line).toContain(words);
  }); // prettier-ignore
});

describe('workshopTemplate', () => {
  it('is valid as it stands, and with every example taken in', () => {
    const text = workshopTemplate();
    expect(parseWorkshop(text).machines).toHaveLength(1);
    const all = text
      .replace('keepOut: []\n    #  -', 'keepOut:\n      -')
      .replace(/^ {2}# (- name: tall|  plate|  height|  margin)/gm, '  $1');
    const { machines } = parseWorkshop(all);
    expect(machines.map((machine) => machine.envelope.plate.shape)).toEqual(['box', 'round']);
    expect(machines[0]?.envelope.keepOuts[0]?.name).toBe('purge corner');
  });

  it('names every setting: taken in whole, the file says what the defaults say', () => {
    const text = workshopTemplate();
    const settings = text
      .replace(/^ {4}# {3}(box|round|outline): .*\n/gm, '')
      .replace(/^ {2}# - name: tall[^]*?\n\n/m, '\n')
      // Only settings: "#   name: value", their groups and list items; never their explanations.
      .replace(/^( *)# ((?: {2})*(?:- \{.*\}|[a-z][A-Za-z0-9]*:(?: .*)?))$/gm, '$1$2');
    const taken = parseWorkshop(settings);
    expect(taken).toEqual(parseWorkshop(text));
    for (const name of ['asymmetry: 40', 'islands: 0.5', 'adhesionKpa: 0', 'beam: 6', 'wood: 8'])
      expect(text).toContain(`${name}\n`);
    expect(Math.max(...text.split('\n').map((line) => line.length))).toBeLessThanOrEqual(102);
    expect(text).not.toMatch(/\{ +\}/);
  });
});

describe('workshopOf', () => {
  it('wraps plain envelopes and gives everything else its default', () => {
    const shop = workshopOf([boxEnvelope(1, 2, 3)]);
    expect(shop.machines[0]?.envelope).toEqual(boxEnvelope(1, 2, 3));
  });
});
