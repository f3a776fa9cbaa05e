import { dot } from '../math/index.ts';
import type { PlaneFrame } from '../mesh/index.ts';
import type { FlatKernel } from '../solid/index.ts';
import type { Points } from './shell.ts';

/** Directed edges, from and to by turns: seen from the tip of the normal, material to the left. */
export type Edges = readonly number[];

/** Share of the area by which facets may fold over: no more than rounding leaves. */
const FOLD = 1e-9;

/**
 * Facets that fill a flat face: the rim's own vertices and no others, so that the face and what
 * stands at its rim share every edge. Counter-clockwise seen from the tip of the normal.
 * @returns corners by threes; null where the rim does not close or crosses itself
 */
export function fillRim(
  edges: Edges,
  frame: PlaneFrame,
  points: Points,
  flat: FlatKernel,
): Uint32Array | null {
  const xy = (v: number): readonly [number, number] => {
    const p = points.at(v);
    return [dot(frame.u, p), dot(frame.v, p)];
  };
  const loops = traceLoops(edges, xy);
  if (!loops) return null;
  if (loops.length === 0) return new Uint32Array(0);
  const corners = loops.flat();
  const places = corners.map(xy);
  const flatLoops = loops.map((loop) => Float64Array.from(loop.flatMap(xy)));
  const filled = flat.triangulate(flatLoops);
  let whole = 0;
  let folded = 0;
  for (let t = 0; t < filled.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => places[filled[t + k] as number] ?? [NaN, NaN]) as [number, number][]; // prettier-ignore
    const [[ax, ay], [bx, by], [cx, cy]] = [a, b, c] as [[number, number], [number, number], [number, number]]; // prettier-ignore
    const area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
    whole += area;
    if (!(area >= 0)) folded -= area;
  }
  const asked = flatLoops.reduce((sum, loop) => sum + twiceArea(loop), 0);
  if (!(folded <= FOLD * whole) || !(Math.abs(whole - asked) <= FOLD * Math.abs(asked)))
    return null;
  return filled.map((i) => corners[i] as number);
}

function twiceArea(loop: Float64Array): number {
  const [x0, y0] = loop as unknown as [number, number];
  let sum = 0;
  for (let i = 0, n = loop.length; i < n; i += 2) {
    const j = (i + 2) % n;
    sum +=
      ((loop[i] as number) - x0) * ((loop[j + 1] as number) - y0) -
      ((loop[j] as number) - x0) * ((loop[i + 1] as number) - y0);
  }
  return sum;
}

/**
 * Closed loops of vertices from directed edges. An edge and its opposite bound nothing and go.
 * Where loops meet in a vertex, the sharpest turn to the left stays with the same material.
 */
function traceLoops(edges: Edges, xy: (v: number) => readonly [number, number]): number[][] | null {
  const next = new Map<number, number[]>();
  for (let i = 0; i < edges.length; i += 2) {
    const [a, b] = [edges[i] as number, edges[i + 1] as number];
    if (a === b) continue;
    const back = next.get(b);
    const opposite = back?.indexOf(a) ?? -1;
    if (back && opposite >= 0) {
      back.splice(opposite, 1);
      continue;
    }
    const ways = next.get(a);
    if (ways) ways.push(b);
    else next.set(a, [b]);
  }
  const loops: number[][] = [];
  for (const [start, ways] of next)
    while (ways.length > 0) {
      const loop = [start];
      let before = start;
      let at = ways.pop() as number;
      while (at !== start) {
        const on = next.get(at);
        if (!on || on.length === 0) return null;
        loop.push(at);
        const k = on.length === 1 ? 0 : leftmost(xy(before), xy(at), on.map(xy));
        before = at;
        at = on.splice(k, 1)[0] as number;
      }
      loops.push(loop);
    }
  return loops;
}

function leftmost(
  from: readonly [number, number],
  at: readonly [number, number],
  ways: readonly (readonly [number, number])[],
): number {
  const back = Math.atan2(from[1] - at[1], from[0] - at[0]);
  let best = 0;
  let least = Infinity;
  for (const [k, [x, y]] of ways.entries()) {
    // Clockwise from the way back.
    let turn = back - Math.atan2(y - at[1], x - at[0]);
    while (turn <= 1e-12) turn += 2 * Math.PI;
    if (turn < least) [least, best] = [turn, k];
  }
  return best;
}
