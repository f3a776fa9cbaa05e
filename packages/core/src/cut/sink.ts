import { cross, dot, sub, type Vec3 } from '../math/index.ts';
import { planeFrame, type Plane, type PlaneFrame } from '../mesh/index.ts';
import type { FlatKernel } from '../solid/index.ts';
import { fillRim } from './rim.ts';
import { Grower, type Points, type Shell } from './shell.ts';
import type { Side } from './tools.ts';

/** A hole or groove with upright walls and a flat bottom, sunk from a cut face into the piece. */
export interface Recess {
  /**
   * Outlines in the cut face, flat xyz, in the plane: counter-clockwise round what is taken away,
   * seen from the tip of the plane's normal; clockwise round what is left standing inside.
   */
  readonly outlines: readonly Float64Array[];
  readonly depthMm: number;
}

/** Clear of a recess by less than this, mm, is left to the solid kernel. */
const CLEAR_MM = 1e-3;

/**
 * Sinks recesses into one cut face of a piece: the face is filled anew round their mouths, and
 * walls and bottoms are added.
 * @returns null where a recess might meet anything but the face, or the face cannot be filled
 */
export function sink(
  shell: Shell,
  points: Points,
  plane: Plane,
  face: number,
  side: Side,
  recesses: readonly Recess[],
  flat: FlatKernel,
): Shell | null {
  const frame = planeFrame(plane);
  if (!clear(shell, points, frame, face, side, recesses)) return null;
  const flip = side === 'above';
  const grown = new Grower(shell.facets.length + 9 * recesses.length * 64);
  const rim: number[] = [];
  for (let f = 0; f < shell.face.length; f++) {
    const a = shell.facets[3 * f] as number;
    const b = shell.facets[3 * f + 1] as number;
    const c = shell.facets[3 * f + 2] as number;
    const of = shell.face[f] as number;
    if (of !== face) {
      grown.add(a, b, c, of);
      continue;
    }
    // The face looks along the normal on the side below, against it above: seen from its tip.
    if (flip) rim.push(b, a, c, b, a, c);
    else rim.push(a, b, b, c, c, a);
  }
  const put = (a: number, b: number, c: number): void =>
    flip ? grown.add(a, c, b, face) : grown.add(a, b, c, face);
  const inwards = side === 'below' ? -1 : 1;
  const n = plane.normal;
  for (const { outlines, depthMm } of recesses) {
    const bottom: number[] = [];
    const deep = inwards * depthMm;
    for (const outline of outlines) {
      const mouth: number[] = [];
      const floor: number[] = [];
      for (let i = 0; i < outline.length; i += 3) {
        const [x, y, z] = outline.subarray(i, i + 3) as unknown as [number, number, number];
        mouth.push(points.add(x, y, z));
        floor.push(points.add(x + deep * n[0], y + deep * n[1], z + deep * n[2]));
      }
      for (let i = 0; i < mouth.length; i++) {
        const j = (i + 1) % mouth.length;
        const [m0, m1, f0, f1] = [mouth[i], mouth[j], floor[i], floor[j]] as [number, number, number, number]; // prettier-ignore
        rim.push(m1, m0);
        bottom.push(f0, f1);
        put(m0, m1, f1);
        put(m0, f1, f0);
      }
    }
    const filled = fillRim(bottom, frame, points, flat);
    if (!filled) return null;
    for (let t = 0; t < filled.length; t += 3)
      put(filled[t] as number, filled[t + 1] as number, filled[t + 2] as number);
  }
  const filled = fillRim(rim, frame, points, flat);
  if (!filled) return null;
  for (let t = 0; t < filled.length; t += 3)
    put(filled[t] as number, filled[t + 1] as number, filled[t + 2] as number);
  return grown.shell();
}

interface Box {
  readonly low: Vec3;
  readonly high: Vec3;
}

const apart = (a: Box, b: Box): boolean =>
  [0, 1, 2].some(
    (k) =>
      (a.low[k] as number) > (b.high[k] as number) + CLEAR_MM ||
      (b.low[k] as number) > (a.high[k] as number) + CLEAR_MM,
  );

/** Whether the boxes of all recesses, in the face's frame, hold nothing of the piece but the face. */
function clear(
  shell: Shell,
  points: Points,
  frame: PlaneFrame,
  face: number,
  side: Side,
  recesses: readonly Recess[],
): boolean {
  const boxes = recesses.map((r) => boxOf(r, frame, side));
  if (boxes.some((a, i) => boxes.some((b, j) => j < i && !apart(a, b)))) return false;
  const deepest = Math.max(...boxes.map((b) => b.high[2] - b.low[2])) + CLEAR_MM;
  const [deep, out] = side === 'below' ? [-deepest, CLEAR_MM] : [-CLEAR_MM, deepest];
  const p = points.positions;
  const axes = [frame.u, frame.v, frame.normal] as const;
  const at = axes.map((d) => dot(d, frame.origin));
  const along = (v: number, k: 0 | 1 | 2): number => {
    const d = axes[k];
    const i = 3 * v;
    return (p[i] as number) * d[0] + (p[i + 1] as number) * d[1] + (p[i + 2] as number) * d[2] - (at[k] as number); // prettier-ignore
  };
  for (let f = 0; f < shell.face.length; f++) {
    if (shell.face[f] === face) continue;
    const a = shell.facets[3 * f] as number;
    const b = shell.facets[3 * f + 1] as number;
    const c = shell.facets[3 * f + 2] as number;
    const ha = along(a, 2), hb = along(b, 2), hc = along(c, 2); // prettier-ignore
    if ((ha > out && hb > out && hc > out) || (ha < deep && hb < deep && hc < deep)) continue;
    const facet: [Vec3, Vec3, Vec3] = [
      [along(a, 0), along(a, 1), ha],
      [along(b, 0), along(b, 1), hb],
      [along(c, 0), along(c, 1), hc],
    ];
    if (boxes.some((box) => reaches(facet, box))) return false;
  }
  return true;
}

/**
 * Whether a facet comes into a box, or nearer than `CLEAR_MM`: no axis parts them. Method: separating
 * axes of two convex bodies (the box's three, the facet's normal, and the products of their edges).
 */
function reaches(facet: readonly [Vec3, Vec3, Vec3], { low, high }: Box): boolean {
  const middle = [0, 1, 2].map((k) => ((low[k] as number) + (high[k] as number)) / 2) as unknown as Vec3; // prettier-ignore
  const half = [0, 1, 2].map((k) => ((high[k] as number) - (low[k] as number)) / 2 + CLEAR_MM) as unknown as Vec3; // prettier-ignore
  const [a, b, c] = facet.map((p) => sub(p, middle)) as [Vec3, Vec3, Vec3];
  const parts = (axis: Vec3): boolean => {
    const [x, y, z] = [dot(axis, a), dot(axis, b), dot(axis, c)];
    const reach =
      half[0] * Math.abs(axis[0]) + half[1] * Math.abs(axis[1]) + half[2] * Math.abs(axis[2]);
    return Math.min(x, y, z) > reach || Math.max(x, y, z) < -reach;
  };
  const edges = [sub(b, a), sub(c, b), sub(a, c)];
  return !(
    BOX_AXES.some(parts) ||
    parts(cross(edges[0] as Vec3, edges[1] as Vec3)) ||
    BOX_AXES.some((x) => edges.some((e) => parts(cross(x, e))))
  );
}

const BOX_AXES: readonly Vec3[] = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** Box of a recess in the frame's u, v and normal. */
function boxOf({ outlines, depthMm }: Recess, frame: PlaneFrame, side: Side): Box {
  const low = [Infinity, Infinity];
  const high = [-Infinity, -Infinity];
  for (const outline of outlines)
    for (let i = 0; i < outline.length; i += 3) {
      const p = outline.subarray(i, i + 3) as unknown as Vec3;
      for (const [k, d] of [frame.u, frame.v].entries()) {
        const x = dot(d, p) - dot(d, frame.origin);
        low[k] = Math.min(low[k] as number, x);
        high[k] = Math.max(high[k] as number, x);
      }
    }
  const [bottom, top] = side === 'below' ? [-depthMm, 0] : [0, depthMm];
  return {
    low: [low[0] as number, low[1] as number, bottom],
    high: [high[0] as number, high[1] as number, top],
  };
}
