import { boundsOf, sizeOf, type Mesh } from '../mesh/index.ts';

/**
 * The mesh with its vertices in the order of their places and its facets in that of their corners,
 * each begun at its first: the order in a file, which a mirrored copy hardly ever shares, must not
 * decide what plan comes out. Twins at one place keep their order. Nearly O(vertices + facets).
 */
export function inOrder({ positions: p, triangles: t }: Mesh): Mesh {
  const order = placeOrder(p);
  const rank = new Uint32Array(order.length);
  const positions = new Float64Array(p.length);
  order.forEach((old, i) => {
    rank[old] = i;
    for (let k = 0; k < 3; k++) positions[3 * i + k] = p[3 * old + k] as number;
  });
  const turned = new Uint32Array(t.length);
  for (let f = 0; f < t.length; f += 3) {
    const a = rank[t[f] as number] as number;
    const b = rank[t[f + 1] as number] as number;
    const c = rank[t[f + 2] as number] as number;
    const first = a < b ? (a < c ? 0 : 2) : b < c ? 1 : 2;
    turned[f] = first === 0 ? a : first === 1 ? b : c;
    turned[f + 1] = first === 0 ? b : first === 1 ? c : a;
    turned[f + 2] = first === 0 ? c : first === 1 ? a : b;
  }
  const corner = (f: number, k: number): number => turned[3 * f + k] as number;
  const facets = sortedIn(order.length, t.length / 3, (f) => corner(f, 0), (f, g) => corner(f, 1) - corner(g, 1) || corner(f, 2) - corner(g, 2)); // prettier-ignore
  const triangles = new Uint32Array(t.length);
  facets.forEach((f, i) => {
    for (let k = 0; k < 3; k++) triangles[3 * i + k] = corner(f, k);
  });
  return { positions, triangles };
}

/** Grains along the part's longest side: mirror images agree in them in spite of rounding. */
const GRAINS = 1e7;

/** Indices of the points by x, then y, then z, in grains first. */
function placeOrder(p: Float64Array): Uint32Array {
  const count = p.length / 3;
  const { min, max } = boundsOf(p);
  const side = Math.max(...sizeOf({ min, max }));
  const grains = new Int32Array(p.length);
  for (let o = 0; o < p.length; o += 3)
    for (let k = 0; k < 3; k++)
      grains[o + k] = Math.round((((p[o + k] as number) - (min[k] as number)) / side) * GRAINS);
  const share = (count - 1) / Math.max(1, Math.round(((max[0] - min[0]) / side) * GRAINS));
  const apart = (values: ArrayLike<number>, i: number, j: number): number => {
    for (let k = 0; k < 3; k++) {
      const d = (values[3 * i + k] as number) - (values[3 * j + k] as number);
      if (d !== 0) return d;
    }
    return 0;
  };
  return sortedIn(
    count,
    count,
    (i) => Math.floor((grains[3 * i] as number) * share),
    (i, j) => apart(grains, i, j) || apart(p, i, j),
  );
}

/** Indices 0 .. count - 1, put in bins of their own and each bin sorted. */
function sortedIn(
  bins: number,
  count: number,
  binOf: (i: number) => number,
  compare: (i: number, j: number) => number,
): Uint32Array {
  const starts = new Uint32Array(bins + 1);
  for (let i = 0; i < count; i++) starts[binOf(i) + 1] = (starts[binOf(i) + 1] as number) + 1;
  for (let b = 0; b < bins; b++) starts[b + 1] = (starts[b + 1] as number) + (starts[b] as number);
  const next = starts.slice();
  const sorted = new Uint32Array(count);
  for (let i = 0; i < count; i++) {
    const bin = binOf(i);
    sorted[next[bin] as number] = i;
    next[bin] = (next[bin] as number) + 1;
  }
  for (let b = 0; b < bins; b++) {
    const [from, to] = [starts[b] as number, starts[b + 1] as number];
    if (to - from > FEW) sorted.subarray(from, to).sort(compare);
    else insertionSort(sorted, from, to, compare);
  }
  return sorted;
}

/** Up to so many are sorted by insertion: most bins hold two or three. */
const FEW = 12;

function insertionSort(
  list: Uint32Array,
  from: number,
  to: number,
  compare: (i: number, j: number) => number,
): void {
  for (let n = from + 1; n < to; n++) {
    const item = list[n] as number;
    let at = n;
    for (; at > from && compare(list[at - 1] as number, item) > 0; at--)
      list[at] = list[at - 1] as number;
    list[at] = item;
  }
}
