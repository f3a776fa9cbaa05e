import type { Envelope, KeepOut } from '../envelope/index.ts';
import { convexOutline, crossings, minkowskiSum, strictlyInside, type Vec2 } from '../hull/index.ts'; // prettier-ignore
import { quatToMatrix, turnsXyzDeg, type Quat, type Vec3 } from '../math/index.ts';
import { clip, type FreeSpace } from './free-space.ts';
import { fitPlan } from './plan-fit.ts';
import type { Placement } from './types.ts';

/** A convex body as points, with its hull's facets where they are known. */
export interface Body {
  readonly positions: Float64Array;
  /** Facets of the convex hull over `positions`; empty when not known. */
  readonly triangles: Uint32Array;
}

/** Sides of the polygon that stands for a round plate when keep-outs are on it, from inside. */
const ROUND_SIDES = 256;

/**
 * Where a body turned by `rotation` stands in the free space, at `scale`, keep-outs regarded.
 * Without keep-outs it stands in the middle, and a body that is too large is placed all the same,
 * with negative clearance; among keep-outs null means that no shift is free (exact for the convex
 * hull; a round plate counts as the 256-gon inside it).
 */
export function placeBody(
  body: Body,
  rotation: Quat,
  envelope: Envelope,
  space: FreeSpace,
  scale = 1,
): Placement | null {
  const m = quatToMatrix(rotation);
  const turned = new Float64Array(body.positions.length);
  let z0 = Infinity;
  let z1 = -Infinity;
  const n = turned.length / 3;
  const xs = new Float64Array(n);
  const ys = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const px = body.positions[3 * i] as number;
    const py = body.positions[3 * i + 1] as number;
    const pz = body.positions[3 * i + 2] as number;
    const x = (turned[3 * i] = (m[0] * px + m[1] * py + m[2] * pz) * scale);
    const y = (turned[3 * i + 1] = (m[3] * px + m[4] * py + m[5] * pz) * scale);
    const z = (turned[3 * i + 2] = (m[6] * px + m[7] * py + m[8] * pz) * scale);
    xs[i] = x;
    ys[i] = y;
    if (z < z0) z0 = z;
    if (z > z1) z1 = z;
  }
  const centred = fitPlan(xs, ys, space);
  let shift: Vec2 = centred.shift;
  if (envelope.keepOuts.length > 0 && centred.tau <= 1 + 1e-9) {
    const free = freeShift(body, turned, xs, ys, z0, envelope, space, shift);
    if (free === null) return null;
    shift = free;
  }
  const [[x0, x1], [y0, y1]] = [rangeOf(xs), rangeOf(ys)];
  const sizeMm: Vec3 = [x1 - x0, y1 - y0, z1 - z0];
  const play = (k: 0 | 1): number =>
    space.plan.kind === 'box'
      ? space.plan.sizeMm[k] - sizeMm[k]
      : centred.tau > 1
        ? (1 - centred.tau) * sizeMm[k]
        : travel(xs, ys, space, shift, k);
  return {
    rotation,
    turnsDeg: turnsXyzDeg(m),
    translationMm: [shift[0] + space.centre[0], shift[1] + space.centre[1], -z0],
    sizeMm,
    clearanceMm: [play(0), play(1), space.heightMm - sizeMm[2]],
  };
}

function rangeOf(values: Float64Array): [least: number, most: number] {
  let least = Infinity;
  let most = -Infinity;
  for (const x of values) {
    if (x < least) least = x;
    if (x > most) most = x;
  }
  return [least, most];
}

/** How far the footprint can be moved along one axis from where it is, mm. */
function travel(
  xs: Float64Array,
  ys: Float64Array,
  space: FreeSpace,
  shift: Vec2,
  axis: 0 | 1,
): number {
  let ahead = Infinity;
  let back = Infinity;
  const { plan } = space;
  for (let i = 0; i < xs.length; i++) {
    const p = [(xs[i] as number) + shift[0], (ys[i] as number) + shift[1]] as const;
    if (plan.kind === 'disc') {
      const across = p[1 - axis] as number;
      const half = Math.sqrt(Math.max(0, plan.radiusMm ** 2 - across * across));
      ahead = Math.min(ahead, half - p[axis]);
      back = Math.min(back, half + p[axis]);
    } else if (plan.kind === 'polygon')
      for (const e of plan.edges) {
        const along = e.n[axis];
        const room = e.b - e.n[0] * p[0] - e.n[1] * p[1];
        if (along > 1e-12) ahead = Math.min(ahead, room / along);
        if (along < -1e-12) back = Math.min(back, -room / along);
      }
  }
  return Math.max(0, ahead + back);
}

/**
 * The free shift nearest to `wish`: erosion of the convex plan by the footprint, less the open
 * Minkowski sums of the keep-outs with the mirrored footprint. The free set is closed, so unless
 * the wish is in it, it has a point at a corner of the erosion, at a crossing of two outlines, or
 * nearest to the wish on an outline.
 */
function freeShift(
  body: Body,
  turned: Float64Array,
  xs: Float64Array,
  ys: Float64Array,
  z0: number,
  envelope: Envelope,
  space: FreeSpace,
  wish: Vec2,
): Vec2 | null {
  const room = erosion(xs, ys, space);
  if (room.length === 0) return null;
  const obstacles: Vec2[][] = [];
  for (const k of envelope.keepOuts) {
    const foot = footprintBeside(body, turned, z0, k);
    if (foot.length === 0) continue;
    const mirrored = foot.map(([x, y]): Vec2 => [-x, -y]);
    const [cx, cy] = space.centre;
    const box: Vec2[] = [
      [k.minMm[0] - cx, k.minMm[1] - cy],
      [k.maxMm[0] - cx, k.minMm[1] - cy],
      [k.maxMm[0] - cx, k.maxMm[1] - cy],
      [k.minMm[0] - cx, k.maxMm[1] - cy],
    ];
    obstacles.push(minkowskiSum(box, mirrored));
  }
  const free = (p: Vec2): boolean => !obstacles.some((o) => strictlyInside(o, p, 1e-9));
  if (free(wish)) return wish;
  const candidates: Vec2[] = [...room];
  obstacles.forEach((o, i) => {
    candidates.push(...crossings(room, o));
    for (const other of obstacles.slice(i + 1)) candidates.push(...crossings(o, other));
    for (let j = 0; j < o.length; j++) {
      const [p, q] = [o[j] as Vec2, o[(j + 1) % o.length] as Vec2];
      candidates.push(nearestOnSegment(wish, p, q), p);
    }
  });
  const inRoom = (p: Vec2): boolean => room.length < 3 || !outsideOf(p, room);
  let best: Vec2 | null = null;
  let least = Infinity;
  for (const c of candidates) {
    const d = Math.hypot(c[0] - wish[0], c[1] - wish[1]);
    if (d < least && inRoom(c) && free(c)) {
      least = d;
      best = c;
    }
  }
  return best;
}

function outsideOf(p: Vec2, outline: readonly Vec2[]): boolean {
  return outline.some((a, i) => {
    const b = outline[(i + 1) % outline.length] as Vec2;
    const l = Math.hypot(b[0] - a[0], b[1] - a[1]);
    return l > 0 && (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) < -1e-9 * l;
  });
}

function nearestOnSegment(w: Vec2, p: Vec2, q: Vec2): Vec2 {
  const dx = q[0] - p[0];
  const dy = q[1] - p[1];
  const l = dx * dx + dy * dy;
  const t = l > 0 ? Math.max(0, Math.min(1, ((w[0] - p[0]) * dx + (w[1] - p[1]) * dy) / l)) : 0;
  return [p[0] + t * dx, p[1] + t * dy];
}

/** Shifts that keep the footprint in the plan: a convex polygon, a segment, a point, or nothing. */
function erosion(xs: Float64Array, ys: Float64Array, space: FreeSpace): Vec2[] {
  const { plan } = space;
  const [x0, x1] = rangeOf(xs);
  const [y0, y1] = rangeOf(ys);
  if (plan.kind === 'box') {
    const [a, b] = plan.sizeMm;
    const left = -a / 2 - x0;
    const right = Math.max(left, a / 2 - x1);
    const low = -b / 2 - y0;
    const high = Math.max(low, b / 2 - y1);
    return [[left, low], [right, low], [right, high], [left, high]]; // prettier-ignore
  }
  const edges =
    plan.kind === 'polygon'
      ? plan.edges
      : Array.from({ length: ROUND_SIDES }, (_, i) => {
          const a = (2 * Math.PI * i) / ROUND_SIDES;
          return {
            n: [Math.cos(a), Math.sin(a)] as const,
            b: plan.radiusMm * Math.cos(Math.PI / ROUND_SIDES),
          };
        });
  const far = 4 * (Math.max(x1 - x0, y1 - y0) + Math.max(...edges.map((e) => e.b)));
  const cx = -(x0 + x1) / 2;
  const cy = -(y0 + y1) / 2;
  let room: [number, number][] = [
    [cx - far, cy - far],
    [cx + far, cy - far],
    [cx + far, cy + far],
    [cx - far, cy + far],
  ];
  for (const e of edges) {
    let most = -Infinity;
    for (let i = 0; i < xs.length; i++)
      most = Math.max(most, e.n[0] * (xs[i] as number) + e.n[1] * (ys[i] as number));
    room = clip(room, e.n, e.b - most + 1e-9);
  }
  return room;
}

/** Plan of the part of the body that lies between a keep-out's floor and top. */
function footprintBeside(body: Body, turned: Float64Array, z0: number, keepOut: KeepOut): Vec2[] {
  const floor = keepOut.minMm[2] + z0;
  const top = keepOut.maxMm[2] + z0;
  const points: Vec2[] = [];
  const z = (i: number): number => turned[3 * i + 2] as number;
  const put = (i: number, j: number, t: number): void => {
    const mix = (c: number): number =>
      (turned[3 * i + c] as number) * (1 - t) + (turned[3 * j + c] as number) * t;
    points.push([mix(0), mix(1)]);
  };
  const known = body.triangles.length > 0;
  for (let i = 0; i < turned.length / 3; i++)
    // Without facets the whole body counts: never less than what is really beside the keep-out.
    if (!known || (z(i) >= floor && z(i) <= top)) put(i, i, 0);
  for (let f = 0; f < body.triangles.length; f += 3)
    for (let k = 0; k < 3; k++) {
      const i = body.triangles[f + k] as number;
      const j = body.triangles[f + ((k + 1) % 3)] as number;
      for (const level of [floor, top])
        if (z(i) < level !== z(j) < level) put(i, j, (level - z(i)) / (z(j) - z(i)));
    }
  return convexOutline(points);
}
