import { describe, expect, it } from 'vitest';
import { csv } from '../../src/render/csv.ts';

describe('CSV', () => {
  it('quotes after RFC 4180, section 2', () => {
    expect(csv(['a', 'b'], [['x,y', 'say "so"'], ['two\nlines', null]])).toBe('a,b\n"x,y","say ""so"""\n"two\nlines",\n'); // prettier-ignore
  });

  // The first characters that spreadsheets take for a formula (common practice, no source).
  it.each(['=1+1', '+1', '-1', '@SUM(A1)', '\tx', '\rx'])('takes the formula out of %j', (text) => {
    expect(csv(['a'], [[text]]).split('\n')[1]).toMatch(/^"?'/);
  });

  it('leaves numbers below zero numbers', () => {
    expect(csv(['a'], [[-1.5]])).toBe('a\n-1.5\n');
  });
});
