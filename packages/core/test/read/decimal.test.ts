/** The second opinion is the engine's own conversion, which is correctly rounded. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { decimalWord, parseDecimal, wordEnd } from '../../src/read/decimal.ts';
import { bytesOf } from './helpers.ts';

const parsed = (text: string): number => {
  const bytes = bytesOf(text);
  const value = parseDecimal(bytes, 0, bytes.length);
  // The way that finds the word's end by itself must agree, the end included.
  if (text === '' || text.includes(' ')) return value;
  const word = decimalWord(bytesOf(`${text} 7`), 0);
  expect(Object.is(word, value), text).toBe(true);
  expect(wordEnd).toBe(bytes.length);
  return value;
};

it('reads what the engine prints, to the last bit', () => {
  fc.assert(
    fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (x) => Object.is(parsed(`${x}`), x) || x === 0), // prettier-ignore
    { seed: 1, numRuns: 5000 },
  );
});

it('reads digits, points and exponents of any length as the engine does', () => {
  const digits = (max: number) => fc.stringMatching(new RegExp(`^\\d{1,${max}}$`));
  fc.assert(
    fc.property(
      fc.constantFrom('', '-', '+'),
      digits(25),
      fc.option(digits(25)),
      fc.option(fc.tuple(fc.constantFrom('e', 'E', 'e-', 'e+'), digits(3))),
      (sign, whole, fraction, exponent) => {
        const text = `${sign}${whole}${fraction === null ? '' : `.${fraction}`}${exponent ? exponent.join('') : ''}`; // prettier-ignore
        expect(parsed(text)).toBe(Number(text));
      },
    ),
    { seed: 2, numRuns: 5000 },
  );
});

it('reads float32 values in nine digits, as exporters write them', () => {
  fc.assert(
    fc.property(fc.float({ noNaN: true, noDefaultInfinity: true }), (x) => {
      const text = x.toExponential(8);
      return parsed(text) === Number(text) && Math.fround(parsed(text)) === x;
    }),
    { seed: 3, numRuns: 5000 },
  );
});

it('reads points without digits on one side', () => {
  expect([parsed('.5'), parsed('5.'), parsed('-.5e1'), parsed('00012')]).toEqual([0.5, 5, -5, 12]);
});

it('gives NaN for what is no decimal number', () => {
  for (const text of [
    '',
    '-',
    '.',
    'e5',
    '1e',
    '1e+',
    '1,5',
    '0x10',
    '1_000',
    'nan',
    'inf',
    '1.2.3',
    '--1',
    '1 2',
    'Infinity',
    '12345678901234567890x',
  ])
    // prettier-ignore
    expect(parsed(text), text).toBeNaN();
});
