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
/** Corners that stand off less than this are left out, mm: far below a line's width. */
const THIN_MM = 0.002;

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

  type Section = ReturnType<Slices['at']>;
  let last: { readonly zMm: number; readonly section: Section } | undefined;
  return {
    bottomMm,
    topMm,
    jumpsMm: [...levels].sort((a, b) => b[1] - a[1]).map(([z]) => z),
    at: (zMm) => {
      if (zMm === last?.zMm) return last.section;
      const k = band(zMm);
      const cut: number[] = [];
      for (let i = starts[k] as number; i < (starts[k + 1] as number); i++) {
        const f = lists[i] as number;
        if ((low[f] as number) < zMm && (high[f] as number) >= zMm) cut.push(f);
      }
      const plane = { normal: [0, 0, 1] as const, offsetMm: zMm };
      const { loops, chains } = joinSegments(mesh, plane, heights, zMm, Uint32Array.from(cut));
      const section = { loops: loops.map((l) => thinned(l, THIN_MM)), open: chains.length > 0 };
      last = { zMm, section };
      return section;
    },
  };
}

/**
 * A loop without corners that stand off the line of their neighbours by less than `byMm`: those
 * where a section crosses the diagonals of a mesh. Never two in a row, so errors do not add up.
 */
function thinned(loop: Float64Array, byMm: number): Float64Array {
  const n = loop.length / 2;
  const out: number[] = [];
  let kept = true;
  for (let i = 0; i < n; i++) {
    const [h, j] = [(i + n - 1) % n, (i + 1) % n];
    const [x, y] = [loop[2 * i] as number, loop[2 * i + 1] as number];
    const [ax, ay] = [loop[2 * h] as number, loop[2 * h + 1] as number];
    const [bx, by] = [(loop[2 * j] as number) - ax, (loop[2 * j + 1] as number) - ay];
    const off = Math.abs(bx * (y - ay) - by * (x - ax));
    kept = !(kept && i > 0 && off < byMm * Math.hypot(bx, by));
    if (kept) out.push(x, y);
  }
  return out.length >= 6 ? Float64Array.from(out) : loop;
}

/** Twice the area of a level facet, mm2. */
function levelArea(p: Float64Array, t: Uint32Array, f: number): number {
  const [a, b, c] = [0, 1, 2].map((i) => 3 * (t[3 * f + i] as number)) as [number, number, number];
  return Math.abs(
    ((p[b] as number) - (p[a] as number)) * ((p[c + 1] as number) - (p[a + 1] as number)) -
      ((p[b + 1] as number) - (p[a + 1] as number)) * ((p[c] as number) - (p[a] as number)),
  );
}
