import type { HoursModel } from './schema.ts';
import type { EstimateSettings } from './settings.ts';

/** One finished print: what the model says of it without factors, and what it took. */
export interface PrintRecord {
  readonly motionH: number;
  readonly flowH: number;
  readonly overheadH: number;
  readonly actualH: number;
}

export interface LogFit {
  readonly motionFactor: number;
  readonly flowFactor: number;
  readonly overheadFactor: number;
  readonly prints: number;
  /** Relative error of the hours before the fit (with `factors`) and after: median and largest. */
  readonly before: { readonly median: number; readonly largest: number };
  readonly after: { readonly median: number; readonly largest: number };
}

export const LEAST_PRINTS = 5;
/** Pull of the factors towards 1, small against five prints: keeps what the log cannot tell at 1. */
const PULL = 1e-3;
/** Relative errors above this count less and less (Huber 1964). */
const KNEE = 0.1;

/**
 * Fits the three factors of the hours to finished prints: least relative errors, Huber's weights by
 * iterated weighted least squares, so that single odd prints (a pause, a forgotten entry) do not
 * carry it away (Huber, Ann. Math. Statist. 35 (1964) 73-101). Null with fewer than five prints.
 * @param given the factors used so far, whose error is told beside
 */
export function fitToLog(
  records: readonly PrintRecord[],
  given: readonly [number, number, number] = [1, 1, 1],
): LogFit | null {
  const rows = rowsOf(records);
  if (rows.length < LEAST_PRINTS) return null;
  let factors: [number, number, number] = startOf(rows);
  for (let i = 0; i < 60; i++) {
    const a = [PULL, 0, 0, 0, PULL, 0, 0, 0, PULL];
    const b = [PULL, PULL, PULL];
    for (const row of rows) {
      const r = Math.abs(dot(row, factors) - 1);
      const w = r <= KNEE ? 1 : KNEE / r;
      for (let j = 0; j < 3; j++) {
        b[j]! += w * (row[j] as number);
        for (let k = 0; k < 3; k++) a[3 * j + k]! += w * (row[j] as number) * (row[k] as number);
      }
    }
    factors = solve3(a, b).map((f) => Math.min(5, Math.max(0.2, f))) as [number, number, number];
  }
  return {
    motionFactor: factors[0],
    flowFactor: factors[1],
    overheadFactor: factors[2],
    prints: rows.length,
    before: errorsOf(rows, given),
    after: errorsOf(rows, factors),
  };
}

/**
 * The model of one machine's hours after its log: fitted from five finished prints on, with their
 * error before and after; with fewer the settings as they are, with their error on those few.
 */
export function hoursModelOf(
  settings: EstimateSettings,
  records: readonly PrintRecord[],
): { readonly settings: EstimateSettings; readonly model: HoursModel } {
  const own = [settings.motionFactor, settings.flowFactor, settings.overheadFactor] as const;
  const fit = fitToLog(records, own);
  const used = fit ? withFit(settings, fit) : settings;
  const rows = rowsOf(records);
  return {
    settings: used,
    model: {
      fitted: fit !== null,
      prints: rows.length,
      factors: { motion: used.motionFactor, flow: used.flowFactor, overhead: used.overheadFactor },
      errorShare: used.errorShare,
      before: rows.length > 0 ? errorsOf(rows, own) : null,
      after: fit && fit.after,
    },
  };
}

type Row = readonly [number, number, number];

/** The three parts of the computed hours as shares of the real ones. */
const rowsOf = (records: readonly PrintRecord[]): Row[] =>
  records
    .filter((r) => r.actualH > 0)
    .map((r) => [r.motionH / r.actualH, r.flowH / r.actualH, r.overheadH / r.actualH]);

function errorsOf(rows: readonly Row[], factors: Row): { median: number; largest: number } {
  const e = rows.map((row) => Math.abs(dot(row, factors) - 1)).sort((x, y) => x - y);
  return { median: middle(e), largest: e[e.length - 1] as number };
}

/** Settings with the fit in them; the spread becomes twice the median error, at least 5 %. */
export const withFit = (settings: EstimateSettings, fit: LogFit): EstimateSettings => ({
  ...settings,
  motionFactor: fit.motionFactor,
  flowFactor: fit.flowFactor,
  overheadFactor: fit.overheadFactor,
  errorShare: Math.max(0.05, 2 * fit.after.median),
});

/** A common factor by the median: a start that outliers do not move. */
function startOf(rows: readonly Row[]): [number, number, number] {
  const f = middle(rows.map((r) => 1 / Math.max(1e-9, r[0] + r[1] + r[2])).sort((x, y) => x - y));
  return [f, f, f];
}

function middle(sorted: readonly number[]): number {
  const n = sorted.length;
  const at = (i: number): number => sorted[i] as number;
  return n % 2 === 1 ? at((n - 1) / 2) : (at(n / 2 - 1) + at(n / 2)) / 2;
}

const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((s, x, i) => s + x * (b[i] as number), 0);

/** Cramer's rule; the pull keeps the matrix regular. */
function solve3(a: readonly number[], b: readonly number[]): number[] {
  const det = (m: readonly number[]): number => {
    const [p, q, r, s, t, u, v, w, x] = m as [number, number, number, number, number, number, number, number, number]; // prettier-ignore
    return p * (t * x - u * w) - q * (s * x - u * v) + r * (s * w - t * v);
  };
  const d = det(a);
  return [0, 1, 2].map((j) => det(a.map((x, i) => (i % 3 === j ? (b[Math.floor(i / 3)] as number) : x))) / d); // prettier-ignore
}
