import { ScantlingError } from '../errors.ts';
import { chain, thin } from './chain.ts';
import type { Drawable } from './drawable.ts';
import { notUnder } from './under.ts';
import { Occluders } from './occlude.ts';
import { project, type View } from './view.ts';

/**
 * What a line stands for, drawn by the line types of ISO 128-2 (from memory): visible edges
 * continuous wide (01.2), hidden edges dashed narrow (02.1), centre lines long-dashed dotted narrow
 * (04.1), cutting planes long-dashed dotted wide (04.2), outlines of neighbouring things, such as
 * the build envelope, long-dashed double-dotted narrow (05.1).
 */
export type LineKind = 'visible' | 'hidden' | 'centre' | 'cutting' | 'neighbour';

/** A polyline in space to be drawn with the part. */
export interface SpaceLine {
  readonly kind: LineKind;
  /** Flat x, y, z, part coordinates, mm. */
  readonly points: readonly number[];
  /** Drawn also where the part stands before it. Default false. */
  readonly inFront?: boolean;
}

export interface PaperLine {
  readonly kind: LineKind;
  /** Flat x, y on the paper at 1:1, mm, y up. */
  readonly points: readonly number[];
}

/** A finished view: plain data, at 1:1, in the paper coordinates of `view`. */
export interface ViewDrawing {
  readonly view: View;
  /** Of all lines, mm. */
  readonly minMm: readonly [number, number];
  readonly maxMm: readonly [number, number];
  readonly lines: readonly PaperLine[];
}

export interface DrawOptions {
  /** Draw what is hidden as well. Default false. */
  readonly hidden?: boolean;
  /** Details smaller than this may be lost, mm. Default: 1/2000 of the view's size. */
  readonly detailMm?: number;
  readonly extra?: readonly SpaceLine[];
}

/**
 * Draws a body: creases, rims and silhouette, each cut where it passes behind the body itself. The
 * same body and view give the same lines on every machine. About O(facets); see `Occluders`.
 * @throws ScantlingError `NOTHING_TO_DRAW` when all is seen as one point
 */
export function drawView(body: Drawable, view: View, options: DrawOptions = {}): ViewDrawing {
  const { mesh, edges, facets, sharp, closed } = body;
  const p = project(mesh.positions, view);
  const t = mesh.triangles;
  const front = facing(p, t);
  const occluders = new Occluders(p, t, hiders(front, closed));
  const box = boundsOfPaper(p, options.extra, view);
  if (box[0] === box[2] && box[1] === box[3])
    throw new ScantlingError('NOTHING_TO_DRAW', 'The part is seen as a single point.', {
      remedy: 'Draw it from another side, or check the file: a part has depth.',
    });
  const detail = options.detailMm ?? Math.max(box[2] - box[0], box[3] - box[1]) / 2000;

  const seen: number[] = [];
  const hidden: number[] = [];
  for (let k = 0; k < sharp.length; k++) {
    const f = facets[2 * k] as number;
    const g = facets[2 * k + 1] as number;
    const fFront = (front[f] as number) > 0;
    const gFront = g >= 0 && (front[g] as number) > 0;
    const outline = g >= 0 && fFront !== gFront;
    if (!sharp[k] && !outline) continue;
    const a = 3 * (edges[2 * k] as number);
    const b = 3 * (edges[2 * k + 1] as number);
    const ax = p[a] as number, ay = p[a + 1] as number; // prettier-ignore
    const bx = p[b] as number, by = p[b + 1] as number; // prettier-ignore
    if (closed && !fFront && !gFront) {
      // A solid hides every edge between facets that face away.
      if (options.hidden) hidden.push(ax, ay, bx, by);
      continue;
    }
    const runs = occluders.hidden(ax, ay, p[a + 2] as number, bx, by, p[b + 2] as number, f, g);
    share(runs, ax, ay, bx, by, seen, options.hidden ? hidden : null);
  }
  const lines: PaperLine[] = [];
  for (const line of options.extra ?? []) {
    const parts = line.inFront ? whole(line, view) : spaceRuns(line, view, occluders);
    for (const points of chain(parts, detail / 4)) lines.push({ kind: line.kind, points });
  }
  collect(lines, 'visible', seen, detail);
  if (options.hidden) collect(lines, 'hidden', notUnder(hidden, seen, detail), detail);
  return { view, minMm: [box[0], box[1]], maxMm: [box[2], box[3]], lines };
}

/**
 * The longest lines of a drawing, as many as keep to `mostPoints` points in all: for pictures that
 * may not grow too large. Lines of other kinds than visible and hidden edges all stay.
 */
export function sparser(drawing: ViewDrawing, mostPoints: number): ViewDrawing {
  const size = (line: PaperLine): number => line.points.length / 2;
  const isEdge = (line: PaperLine): boolean => line.kind === 'visible' || line.kind === 'hidden';
  let left = mostPoints - drawing.lines.reduce((n, l) => n + (isEdge(l) ? 0 : size(l)), 0);
  if (drawing.lines.reduce((n, l) => n + size(l), 0) <= mostPoints) return drawing;
  const extents = new Map(drawing.lines.filter(isEdge).map((l) => [l, extent(l.points)]));
  const kept = new Set<PaperLine>();
  for (const [line] of [...extents].sort((a, b) => b[1] - a[1])) {
    left -= size(line);
    if (left < 0) break;
    kept.add(line);
  }
  return { ...drawing, lines: drawing.lines.filter((l) => !isEdge(l) || kept.has(l)) };
}

/** Lower left and upper right corner on the paper of points, flat x, y, z. */
export function boundsInView(
  points: ArrayLike<number>,
  view: View,
): { readonly minMm: readonly [number, number]; readonly maxMm: readonly [number, number] } {
  const p = project(points, view);
  const [x0, y0, x1, y1] = boundsOfPaper(p, undefined, view);
  return { minMm: [x0, y0], maxMm: [x1, y1] };
}

/** Per facet twice its area on the paper: above 0 it faces the eye, 0 it is seen edge-on. */
function facing(p: Float64Array, t: Uint32Array): Float64Array {
  const out = new Float64Array(t.length / 3);
  for (let f = 0; f < out.length; f++) {
    const a = 3 * (t[3 * f] as number);
    const b = 3 * (t[3 * f + 1] as number);
    const c = 3 * (t[3 * f + 2] as number);
    const ax = p[a] as number, ay = p[a + 1] as number; // prettier-ignore
    const ux = (p[b] as number) - ax, uy = (p[b + 1] as number) - ay; // prettier-ignore
    const vx = (p[c] as number) - ax, vy = (p[c + 1] as number) - ay; // prettier-ignore
    const area = ux * vy - uy * vx;
    // Seen edge-on but for rounding: it faces neither way.
    const noise = 1e-10 * (Math.abs(ux * vy) + Math.abs(uy * vx) + ux * ux + vx * vx + uy * uy + vy * vy); // prettier-ignore
    out[f] = Math.abs(area) <= noise ? 0 : area;
  }
  return out;
}

function hiders(front: Float64Array, closed: boolean): Uint32Array {
  let n = 0;
  const out = new Uint32Array(front.length);
  for (let f = 0; f < front.length; f++) {
    const area = front[f] as number;
    if (closed ? area > 0 : area !== 0) out[n++] = f;
  }
  return out.subarray(0, n);
}

/** Deals a line's stretches out to the seen and the hidden. */
function share(
  runs: readonly number[],
  ax: number,
  ay: number,
  bx: number,
  by: number,
  seen: number[],
  hidden: number[] | null,
): void {
  const put = (to: number[], s: number, e: number): void => {
    to.push(ax + (bx - ax) * s, ay + (by - ay) * s, ax + (bx - ax) * e, ay + (by - ay) * e);
  };
  let at = 0;
  for (let i = 0; i < runs.length; i += 2) {
    const from = runs[i] as number;
    const to = runs[i + 1] as number;
    if (from > at) put(seen, at, from);
    if (hidden) put(hidden, from, to);
    at = to;
  }
  if (at < 1) put(seen, at, 1);
}

function spaceRuns(line: SpaceLine, view: View, occluders: Occluders): number[] {
  const q = project(line.points, view);
  const seen: number[] = [];
  for (let i = 0; i + 5 < q.length; i += 3) {
    const [ax, ay, az, bx, by, bz] = q.subarray(i, i + 6) as unknown as Six;
    const runs = occluders.hidden(ax, ay, az, bx, by, bz, -1, -1);
    share(runs, ax, ay, bx, by, seen, null);
  }
  return seen;
}
type Six = readonly [number, number, number, number, number, number];

function whole(line: SpaceLine, view: View): number[] {
  const q = project(line.points, view);
  const out: number[] = [];
  for (let i = 0; i + 5 < q.length; i += 3)
    out.push(q[i] as number, q[i + 1] as number, q[i + 3] as number, q[i + 4] as number);
  return out;
}

function collect(
  lines: PaperLine[],
  kind: LineKind,
  segments: readonly number[],
  detail: number,
): void {
  for (const points of chain(segments, detail / 4)) {
    const thinned = thin(points, detail / 2);
    if (extent(thinned) >= detail) lines.push({ kind, points: thinned });
  }
}

function extent(points: readonly number[]): number {
  let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity; // prettier-ignore
  for (let i = 0; i < points.length; i += 2) {
    x0 = Math.min(x0, points[i] as number);
    x1 = Math.max(x1, points[i] as number);
    y0 = Math.min(y0, points[i + 1] as number);
    y1 = Math.max(y1, points[i + 1] as number);
  }
  return Math.max(x1 - x0, y1 - y0);
}

function boundsOfPaper(
  p: Float64Array,
  extra: readonly SpaceLine[] | undefined,
  view: View,
): [number, number, number, number] {
  let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity; // prettier-ignore
  const take = (q: Float64Array): void => {
    for (let i = 0; i < q.length; i += 3) {
      const x = q[i] as number;
      const y = q[i + 1] as number;
      if (x < x0) x0 = x;
      if (x > x1) x1 = x;
      if (y < y0) y0 = y;
      if (y > y1) y1 = y;
    }
  };
  take(p);
  for (const line of extra ?? []) take(project(line.points, view));
  return x0 <= x1 ? [x0, y0, x1, y1] : [0, 0, 0, 0];
}
