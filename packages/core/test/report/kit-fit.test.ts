import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { summariseKit } from '../../src/report/kit-fit.ts';
import { unreadablePart, type ScanPart } from '../../src/report/scan.ts';
import { ScantlingError } from '../../src/errors.ts';

type Machine = ScanPart['machines'][number];

const on = (machine: string, atLeast: number, atMost = atLeast, proved = true): Machine => ({
  machine,
  verdict: atLeast >= 1 ? 'fits-tilted' : atMost < 1 ? 'too-big' : 'undecided',
  scale: { atLeast, atMost, proved },
});

const part = (file: string, ...machines: Machine[]): ScanPart => ({
  ...unreadablePart(file, new ScantlingError('X', '')),
  verdict: machines.some((fit) => fit.verdict === 'fits-tilted') ? 'fits-tilted' : 'too-big',
  machines,
  error: null,
});

const broken = unreadablePart('broken.stl', new ScantlingError('EMPTY_FILE', 'Empty.'));

describe('summariseKit', () => {
  it('takes each part on its best machine and the kit on its worst part', () => {
    const kit = summariseKit(
      [
        part('a.stl', on('desk', 0.5), on('large', 0.9)),
        part('b.stl', on('desk', 0.8), on('large', 0.7)),
        part('c.stl', on('desk', 1.2), on('large', 2)),
        broken,
      ],
      ['desk', 'large'],
    );
    expect(kit.scale).toEqual({ atLeast: 0.8, atMost: 0.8, proved: true, decidedBy: ['b.stl'] });
    expect(kit.machines).toEqual([
      { machine: 'desk', fits: 1, of: 3 },
      { machine: 'large', fits: 1, of: 3 },
    ]);
    expect(kit.counts).toMatchObject({ 'too-big': 2, 'fits-tilted': 1, unreadable: 1 });
    expect([kit.files, kit.parts]).toEqual([4, 4]);
  });

  it('names every part that may set the limit, the tightest first', () => {
    const kit = summariseKit(
      [
        part('a.stl', on('desk', 0.7, 0.72)),
        part('b.stl', on('desk', 0.69, 0.71)),
        part('c.stl', on('desk', 0.715, 0.716)),
      ],
      ['desk'],
    );
    expect(kit.scale).toMatchObject({ atLeast: 0.69, atMost: 0.71, decidedBy: ['b.stl', 'a.stl'] });
  });

  it('has no scale when nothing was read', () => {
    expect(summariseKit([broken], ['desk']).scale).toBeNull();
    expect(summariseKit([], ['desk']).parts).toBe(0);
  });

  it('holds the true limit, whatever the intervals (random kits with a known truth)', () => {
    const interval = fc.record({
      truth: fc.double({ min: 0.1, max: 3, noNaN: true }),
      below: fc.double({ min: 0, max: 0.05, noNaN: true }),
      above: fc.double({ min: 0, max: 0.05, noNaN: true }),
    });
    const kits = fc.array(fc.array(interval, { minLength: 2, maxLength: 2 }), { minLength: 1 });
    fc.assert(
      fc.property(kits, (kit) => {
        const parts = kit.map((fits, i) =>
          part(`p${i}`, ...fits.map((f, k) => on(`m${k}`, f.truth - f.below, f.truth + f.above))),
        );
        // By definition: the least over the parts of the most over the machines.
        const truths = kit.map((fits) => Math.max(...fits.map((fit) => fit.truth)));
        const truth = Math.min(...truths);
        const { scale } = summariseKit(parts, ['m0', 'm1']);
        expect(scale?.atLeast).toBeLessThanOrEqual(truth);
        expect(scale?.atMost).toBeGreaterThanOrEqual(truth);
        expect(scale?.decidedBy).toContain(`p${truths.indexOf(truth)}`);
      }),
    );
  });
});
