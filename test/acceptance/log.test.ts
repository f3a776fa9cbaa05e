import { copyFileSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Estimate, Plan } from '../../packages/core/src/index.ts';
import { buildOnce, root, scantling } from './built.ts';

const cwd = mkdtempSync(join(tmpdir(), 'scantling-log-'));
const env = { XDG_CACHE_HOME: join(cwd, 'cache'), HOME: cwd };
const run = (...args: string[]) => scantling(args, { cwd, env });
const answer = <T>(...args: string[]): T => {
  const { code, out, err } = run(...args, '--json');
  expect([code, err]).toEqual([0, '']);
  return JSON.parse(out) as T;
};

beforeAll(() => {
  buildOnce();
  copyFileSync(join(root, 'fixtures/lamplighter/coat-button.stl'), join(cwd, 'coat-button.stl'));
  writeFileSync(join(cwd, 'kit.yaml'), 'name: Buttons\nparts:\n  - { file: coat-button.stl, quantity: 8 }\n'); // prettier-ignore
  writeFileSync(
    join(cwd, 'workshop.yaml'),
    `machines:
  - { name: desk, plate: { box: [220, 220] }, height: 250 }
  - { name: tall, plate: { round: 200 }, height: 400 }
schedule: { timeZone: Europe/Berlin }
`,
  );
});
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

describe('the hours learn from the log', () => {
  it(
    'default model with its error up to four prints, fitted from the fifth, in estimate and plan alike',
    { timeout: 240_000 },
    () => {
      const before = answer<Estimate>('estimate', '.');
      expect(before.hoursModel).toMatchObject({
        fitted: false,
        prints: 0,
        before: null,
        after: null,
      });
      const computedH = before.parts[0]!.estimate!.hours.likely;
      const names = ['coat-button', ...[2, 3, 4, 5].map((n) => `coat-button#${n}`)];
      // Every print takes one and a half times as long as computed.
      const tookMs = 1.5 * computedH * 3.6e6;
      names.forEach((piece, i) => {
        const startMs = Date.parse('2026-05-04T08:00:00Z') + i * 864e5;
        for (const [event, ms] of [
          ['start', startMs],
          ['done', startMs + tookMs],
        ] as const)
          // prettier-ignore
          expect(run('log', event, piece, '-m', 'desk', '--at', new Date(ms).toISOString()).err).toBe('');
        if (i !== 3) return;
        const four = answer<Estimate>('estimate', '.');
        expect(four.hoursModel).toMatchObject({ fitted: false, prints: 4, after: null, factors: { motion: 1 } }); // prettier-ignore
        // Off by a third of the real hours: |1 - 1.5| / 1.5.
        expect(four.hoursModel.before!.median).toBeCloseTo(1 / 3, 3);
        expect(four.parts[0]!.estimate!.hours.likely).toBe(computedH);
        expect(run('estimate', '.').out.replace(/\n +/g, ' ')).toContain('desk: default model of the hours, not fitted to the machine: that takes five finished prints in the log, each alone on its plate (4 finished prints so far, off by 33 % (median), 33 % at most).'); // prettier-ignore
      });
      const fitted = answer<Estimate>('estimate', '.');
      expect(fitted.hoursModel).toMatchObject({ fitted: true, prints: 5 });
      expect(fitted.hoursModel.before!.median).toBeCloseTo(1 / 3, 3);
      expect(fitted.hoursModel.after!.largest).toBeLessThan(0.01);
      expect(fitted.parts[0]!.estimate!.hours.likely / computedH).toBeCloseTo(1.5, 2);
      // Other walls, and a part named by itself: the same fit, to what was really printed.
      const other = answer<Estimate>('estimate', 'coat-button.stl', '--walls', '2');
      expect(other.hoursModel).toEqual(fitted.hoursModel);
      expect(answer<Estimate>('estimate', '.', '--no-log').hoursModel).toEqual(before.hoursModel);
      expect(answer<Estimate>('estimate', '.', '-m', 'tall').hoursModel.prints).toBe(0);

      const plan = answer<Plan>('plan', '.', '--from', '2026-06-01 08:00');
      const [desk, tall] = plan.machines;
      expect(desk!.hoursModel).toEqual(fitted.hoursModel);
      expect(tall!.hoursModel).toMatchObject({ fitted: false, prints: 0 });
      const text = run('estimate', '.').out.replace(/\n +/g, ' ');
      expect(text).toMatch(/desk: hours fitted to 5 prints of the log \(moves x \d\.\d\d, melt flow x \d\.\d\d, all else x \d\.\d\d\); median error 33 % before, 0 % after/); // prettier-ignore
    },
  );
});
