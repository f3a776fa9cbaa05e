import { describe, expect, it } from 'vitest';
import { boxEnvelope, checkEnvelope, describeEnvelope, parseEnvelope } from '../../src/index.ts';

describe('parseEnvelope', () => {
  it('reads a box and a round plate, spaces and either times sign allowed', () => {
    expect(parseEnvelope('220x210.5x250')).toEqual(boxEnvelope(220, 210.5, 250));
    expect(parseEnvelope(' 220 X 220 \u00d7 .5 ').heightMm).toBe(0.5);
    expect(parseEnvelope('d300x400')).toMatchObject({
      name: 'd300x400',
      plate: { shape: 'round', diameterMm: 300 },
      heightMm: 400,
    });
  });

  it.each(['', '220', '220x220', '0x1x1', '-1x2x3', '1x2x3x4', '1e3x2x3', 'd300', 'axbxc'])(
    'refuses %j with the way to write it',
    (text) => expect(() => parseEnvelope(text)).toThrow(`"${text}" is no build envelope.`),
  );
});

describe('checkEnvelope', () => {
  it.each([
    [{ heightMm: 0 }, 'a size of 0 mm'],
    [{ heightMm: Infinity }, 'a size of Infinity mm'],
    [{ marginTopMm: 30 }, 'takes all the height'],
    [{ marginSideMm: 5 }, 'leaves no plate'],
    [{ marginSideMm: -1 }, 'below 0'],
    [{ keepOuts: [{ name: 'clip', minMm: [1, 0, 0], maxMm: [1, 2, 3] }] }, '"clip" has a min'],
    [{ plate: { shape: 'polygon', outlineMm: [[0, 0], [9, 0], [9, 9]] }, marginSideMm: 3.2 }, 'no plate'],
  ] as const)('refuses %j', (change, words) => {
    expect(() => checkEnvelope({ ...boxEnvelope(10, 20, 30), ...change })).toThrow(words);
  }); // prettier-ignore

  it('describes plate and height', () => {
    expect(describeEnvelope(boxEnvelope(1, 2, 3))).toBe('1 x 2 x 3 mm');
    expect(describeEnvelope(parseEnvelope('d300x400'))).toBe('round 300 x 400 mm');
  });
});
