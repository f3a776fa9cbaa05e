import { describe, expect, it } from 'vitest';
import {
  estimateSettingsSchema,
  fitToLog,
  hoursModelOf,
  withFit,
  type PrintRecord,
} from '../../src/estimate/index.ts';
import { integrate } from '../../src/estimate/integrate.ts';
import { seededRandom } from '../../src/math/index.ts';

const prints = (n: number, noise: number, seed: number): PrintRecord[] => {
  const random = seededRandom(seed);
  return Array.from({ length: n }, () => {
    const [motionH, flowH, overheadH] = [1 + 9 * random(), 8 * random(), 0.3 + random()];
    const actualH = (1.3 * motionH + 0.9 * flowH + 1.8 * overheadH) * (1 + noise * (2 * random() - 1)); // prettier-ignore
    return { motionH, flowH, overheadH, actualH };
  });
};

describe('the fit to the log', () => {
  it('finds the factors that made the log', () => {
    const fit = fitToLog(prints(12, 0, 1));
    expect(fit?.motionFactor).toBeCloseTo(1.3, 1);
    expect(fit?.flowFactor).toBeCloseTo(0.9, 1);
    expect(fit?.overheadFactor).toBeCloseTo(1.8, 0);
    expect(fit?.after.largest).toBeLessThan(0.01);
    expect(fit?.before.median).toBeGreaterThan(0.1);
  });

  it('is not carried away by two prints that were left standing overnight', () => {
    const odd = prints(14, 0.03, 2).map((r, i) => (i < 2 ? { ...r, actualH: r.actualH * 2.5 } : r));
    const fit = fitToLog(odd);
    const good = odd.slice(2).map((r) => Math.abs(((fit?.motionFactor ?? 0) * r.motionH + (fit?.flowFactor ?? 0) * r.flowH + (fit?.overheadFactor ?? 0) * r.overheadH) / r.actualH - 1)); // prettier-ignore
    expect(Math.max(...good)).toBeLessThan(0.085);
  });

  it('asks for five prints and leaves alone what the log cannot tell', () => {
    expect(fitToLog(prints(4, 0, 3))).toBeNull();
    const alike = fitToLog(prints(5, 0, 4).map((r) => ({ ...r, flowH: 0, actualH: 1.2 * (r.motionH + r.overheadH) }))); // prettier-ignore
    expect(alike?.flowFactor).toBeCloseTo(1, 6);
    expect(alike?.motionFactor).toBeCloseTo(1.2, 1);
  });

  it('narrows low to high to what the fit leaves', () => {
    const fit = fitToLog(prints(12, 0.1, 5));
    if (!fit) throw new Error('no fit');
    const fitted = withFit(estimateSettingsSchema.parse({}), fit);
    expect(fitted.errorShare).toBeCloseTo(Math.max(0.05, 2 * fit.after.median), 12);
    expect(fitted.motionFactor).toBe(fit.motionFactor);
  });
});

describe('the adaptive integral', () => {
  it('is exact for cubics and steps at the breaks, and close for what bends', () => {
    const steps = integrate((x) => [x < 2 ? 5 : 1, x ** 3], [0, 2, 10], 1e-6, 1e-3, 500);
    expect(steps.values[0]).toBeCloseTo(18, 9);
    expect(steps.values[1]).toBeCloseTo(2500, 6);
    const bent = integrate((x) => [Math.sqrt(Math.abs(x - 3.3))], [0, 10], 1e-4, 1e-6, 2000);
    expect(bent.values[0]).toBeCloseTo((2 / 3) * (3.3 ** 1.5 + 6.7 ** 1.5), 2);
  });
});

describe('the model of the hours', () => {
  const settings = estimateSettingsSchema.parse({});

  it('is the default one with fewer than five prints, with its error on those there are', () => {
    const none = hoursModelOf(settings, []);
    expect(none.model).toEqual({ fitted: false, prints: 0, factors: { motion: 1, flow: 1, overhead: 1 }, errorShare: 0.35, before: null, after: null }); // prettier-ignore
    expect(none.settings).toBe(settings);
    // Each took twice what the parts add up to: |1 - 2| / 2 off.
    const twice = Array.from({ length: 4 }, () => ({ motionH: 1, flowH: 2, overheadH: 1, actualH: 8 })); // prettier-ignore
    expect(hoursModelOf(settings, twice).model).toMatchObject({ fitted: false, prints: 4, before: { median: 0.5, largest: 0.5 }, after: null }); // prettier-ignore
  });

  it('is fitted from the fifth on, and tells the error of the factors used before', () => {
    const { model, settings: used } = hoursModelOf(settings, prints(5, 0, 1));
    expect(model).toMatchObject({ fitted: true, prints: 5, factors: { motion: used.motionFactor, flow: used.flowFactor, overhead: used.overheadFactor } }); // prettier-ignore
    expect(model.after?.largest).toBeLessThan(0.01);
    // Those who have set the true factors already were never off.
    const known = hoursModelOf({ ...settings, motionFactor: 1.3, flowFactor: 0.9, overheadFactor: 1.8 }, prints(5, 0, 1)); // prettier-ignore
    expect(known.model.before?.largest).toBeLessThan(1e-12);
  });
});
