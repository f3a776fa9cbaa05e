import { boundsOf, joinSegments, type Mesh } from '../mesh/index.ts';

/** Level sections of one mesh on demand, at any height in any order. */
export interface Slices {
  readonly bottomMm: number;
  readonly topMm: number;
  /** Closed outlines at a height, mm, material to the left; `open` when some do not close. */
  at(zMm: number): { readonly loops: readonly Float64Array[]; readonly open: boolean };
  /** Heights with much level surface, where the section jumps, the largest jumps first. */
  readonly jumpsMm: readonly number[];
}

const BANDS = 512;

/**
 * Prepares a mesh for sections square to Z: facets are listed per band of height, so a section
 * looks only at those near it. Heights between two vertices' heights are meant; at a level face the
 * section just below counts.
 */
export function slicesOf(mesh: Mesh): Slices {
  const { positions: p, triangles: t } = mesh;
  const box = boundsOf(p);
  const [bottomMm, topMm] = [box.min[2], box.max[2]];
  const heights = new Float64Array(p.length / 3);
  for (let i = 0; i < heights.length; i++) heights[i] = p[3 * i + 2] as number;
  const width = (topMm - bottomMm) / BANDS || 1;
  const band = (z: number): number =>
    Math.max(0, Math.min(BANDS - 1, Math.floor((z - bottomMm) / width)));
  const low = new Float64Array(t.length / 3);
  const high = new Float64Array(t.length / 3);
  const starts = new Uint32Array(BANDS + 1);
  const levels = new Map<number, number>();
  for (let f = 0; f < low.length; f++) {
    const [a, b, c] = [0, 1, 2].map((i) => heights[t[3 * f + i] as number] as number) as [number, number, number]; // prettier-ignore
    low[f] = Math.min(a, b, c);
    high[f] = Math.max(a, b, c);
    if (low[f] === high[f]) levels.set(a, (levels.get(a) ?? 0) + levelArea(p, t, f));
    for (let k = band(low[f] as number); k <= band(high[f] as number); k++) starts[k + 1]!++;
  }
  for (let k = 0; k < BANDS; k++) starts[k + 1]! += starts[k] as number;
  const lists = new Uint32Array(starts[BANDS] as number);
  const fill = starts.slice(0, BANDS);
  for (let f = 0; f < low.length; f++)
    for (let k = band(low[f] as number); k <= band(high[f] as number); k++) lists[fill[k]!++] = f;

  return {
    bottomMm,
    topMm,
    jumpsMm: [...levels].sort((a, b) => b[1] - a[1]).map(([z]) => z),
    at: (zMm) => {
      const k = band(zMm);
      const cut: number[] = [];
      for (let i = starts[k] as number; i < (starts[k + 1] as number); i++) {
        const f = lists[i] as number;
        if ((low[f] as number) < zMm && (high[f] as number) >= zMm) cut.push(f);
      }
      const plane = { normal: [0, 0, 1] as const, offsetMm: zMm };
      const { loops, chains } = joinSegments(mesh, plane, heights, zMm, Uint32Array.from(cut));
      return { loops, open: chains.length > 0 };
    },
  };
}

/** Twice the area of a level facet, mm2. */
function levelArea(p: Float64Array, t: Uint32Array, f: number): number {
  const [a, b, c] = [0, 1, 2].map((i) => 3 * (t[3 * f + i] as number)) as [number, number, number];
  return Math.abs(
    ((p[b] as number) - (p[a] as number)) * ((p[c + 1] as number) - (p[a + 1] as number)) -
      ((p[b + 1] as number) - (p[a + 1] as number)) * ((p[c] as number) - (p[a] as number)),
  );
}
