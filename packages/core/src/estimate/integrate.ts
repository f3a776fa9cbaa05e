export interface Integral {
  /** Integral of each component over the whole range. */
  readonly values: number[];
  /** Evaluations used. */
  readonly samples: number;
  /** Estimated relative error of the worst component that matters. */
  readonly errorShare: number;
}

interface Piece {
  readonly a: number;
  readonly b: number;
  readonly values: number[];
  readonly errors: number[];
}

/**
 * Integral of a vector function over the range cut at `breaks`, refined where it is least certain:
 * two Gauss points against one in the middle, the worst interval halved first, until the summed
 * difference is below `tolerance` times the value, intervals are shorter than `leastWidth`, or
 * `maxSamples` is used up. Only the first `leading` components count for that. Ends of intervals,
 * where the function may jump, are never asked.
 */
export function integrate(
  f: (x: number) => readonly number[],
  breaks: readonly number[],
  tolerance: number,
  leastWidth: number,
  maxSamples: number,
  leading = Infinity,
): Integral {
  let samples = 0;
  const measure = (a: number, b: number): Piece => {
    const mid = (a + b) / 2;
    const reach = (b - a) / (2 * Math.sqrt(3));
    const [l, m, r] = [mid - reach, mid, mid + reach].map((x) => f(x)) as [readonly number[], readonly number[], readonly number[]]; // prettier-ignore
    samples += 3;
    const values = m.map((_, i) => ((b - a) * ((l[i] as number) + (r[i] as number))) / 2);
    return { a, b, values, errors: values.map((v, i) => Math.abs(v - (b - a) * (m[i] as number))) };
  };
  const xs = [...breaks].sort((a, b) => a - b);
  const pieces: Piece[] = [];
  for (let i = 0; i + 1 < xs.length; i++)
    if ((xs[i + 1] as number) - (xs[i] as number) > 1e-9)
      pieces.push(measure(xs[i] as number, xs[i + 1] as number));
  const sum = (key: 'values' | 'errors'): number[] =>
    (pieces[0]?.[key] ?? []).map((_, i) => pieces.reduce((s, p) => s + (p[key][i] as number), 0));
  for (;;) {
    const total = sum('values').map(Math.abs);
    const scale = Math.max(...total, 0) * 0.05;
    const share = (errors: readonly number[]): number =>
      Math.max(
        0,
        ...errors.slice(0, leading).map((e, i) => e / Math.max(total[i] as number, scale, 1e-300)),
      );
    const errorShare = share(sum('errors'));
    let worst = -1;
    let most = 0;
    pieces.forEach((p, i) => {
      const e = share(p.errors);
      if (e > most && p.b - p.a > leastWidth) [worst, most] = [i, e];
    });
    if (errorShare <= tolerance || worst < 0 || samples + 6 > maxSamples)
      return { values: sum('values'), samples, errorShare };
    const { a, b } = pieces[worst] as Piece;
    pieces.splice(worst, 1, measure(a, (a + b) / 2), measure((a + b) / 2, b));
  }
}
