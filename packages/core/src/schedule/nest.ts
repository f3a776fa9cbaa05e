import type { Envelope } from '../envelope/index.ts';
import {
  areaOf,
  clipped,
  coarsened,
  convexOutline,
  minkowskiSum,
  moved,
  reach,
  strictlyInside,
  turned,
  type Convex,
  type Vec2,
} from '../hull/index.ts';

/** Where one piece lies on a plate: p_plate = R(turn about Z) * p_piece + (x, y). */
export interface PlacedFootprint {
  readonly index: number;
  readonly turnDeg: number;
  readonly xMm: number;
  readonly yMm: number;
}

/** Corners kept of a footprint; more cost time and gain no room worth having. */
const CORNERS = 14;
const TURNS = 8;

/**
 * Lays convex footprints side by side on a plate, the largest first, each as far down and then left
 * as it goes: on the corners of the region where its reference point may lie, found exactly as the
 * plate shrunk by the piece less the no-fit polygons (Minkowski sums) of what lies there already.
 * Pieces are tried in eight turns and along their longest edge. A heuristic: null says that this
 * method found no place, not that there is none.
 * @param footprints outlines of the pieces' shadows on the plate, mm, any frame
 * @param gapMm least distance between two pieces
 */
export function nest(
  footprints: readonly Convex[],
  envelope: Envelope,
  gapMm: number,
): PlacedFootprint[] | null {
  const plate = plateOutline(envelope);
  const hulls = footprints.map((f) => coarsened(convexOutline(f), CORNERS));
  const blocks: Convex[] = envelope.keepOuts.map((k) => [
    [k.minMm[0], k.minMm[1]],
    [k.maxMm[0], k.minMm[1]],
    [k.maxMm[0], k.maxMm[1]],
    [k.minMm[0], k.maxMm[1]],
  ]);
  const around = circumscribedOctagon(gapMm);
  const placed: { at: PlacedFootprint; shape: Convex }[] = [];
  const order = hulls.map((_, i) => i).sort((a, b) => areaOf(hulls[b] ?? []) - areaOf(hulls[a] ?? []) || a - b); // prettier-ignore
  for (const index of order) {
    let best: { at: PlacedFootprint; shape: Convex; top: number; right: number } | undefined;
    for (const angle of turnsOf(hulls[index] ?? [])) {
      const piece = turned(hulls[index] ?? [], angle);
      const minus = piece.map(([x, y]): Vec2 => [-x, -y]);
      const room = roomFor(piece, plate, envelope.marginSideMm);
      if (room.length < 1) continue;
      const noFit = [
        ...placed.map((p) => minkowskiSum(minkowskiSum(p.shape, minus), around)),
        ...blocks.map((b) => minkowskiSum(b, minus)),
      ];
      for (const t of corners(room, noFit)) {
        const top = t[1] + reach(piece, [0, 1]);
        const right = t[0] + reach(piece, [1, 0]);
        const lower = best ? top - best.top : -1;
        if (lower > 1e-9 || (best && lower > -1e-9 && right >= best.right - 1e-9)) continue;
        if (noFit.some((n) => strictlyInside(n, t))) continue;
        const at = { index, turnDeg: (angle * 180) / Math.PI, xMm: t[0], yMm: t[1] };
        best = { at, shape: moved(piece, t), top, right };
      }
    }
    if (!best) return null;
    placed.push(best);
  }
  return placed.map((p) => p.at).sort((a, b) => a.index - b.index);
}

/** Plate outline inside the margin-free envelope; a round plate as an inscribed polygon. */
export function plateOutline(envelope: Envelope): Convex {
  const { plate } = envelope;
  if (plate.shape === 'polygon') return plate.outlineMm;
  if (plate.shape === 'round')
    return Array.from({ length: 96 }, (_, i): Vec2 => {
      const a = (2 * Math.PI * i) / 96;
      return [(plate.diameterMm / 2) * Math.cos(a), (plate.diameterMm / 2) * Math.sin(a)];
    });
  const x = plate.widthMm / 2;
  const y = plate.depthMm / 2;
  return [[-x, -y], [x, -y], [x, y], [-x, y]]; // prettier-ignore
}

/** Where the reference point may lie so that the piece stays inside the plate less the margin. */
function roomFor(piece: Convex, plate: Convex, marginMm: number): Vec2[] {
  const far = 4 * plate.reduce((m, p) => Math.max(m, Math.abs(p[0]), Math.abs(p[1])), 1);
  const off = piece.reduce((m, p) => Math.max(m, Math.abs(p[0]), Math.abs(p[1])), 0);
  const r = far + off;
  let room: Vec2[] = [[-r, -r], [r, -r], [r, r], [-r, r]]; // prettier-ignore
  plate.forEach((a, i) => {
    const b = plate[(i + 1) % plate.length] as Vec2;
    const l = Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (l === 0) return;
    const n: Vec2 = [(b[1] - a[1]) / l, (a[0] - b[0]) / l];
    room = clipped(room, n, n[0] * a[0] + n[1] * a[1] - marginMm - reach(piece, n));
  });
  return room;
}

/** Corners of the free region: those of the outlines and where two of them cross, within `room`. */
function corners(room: readonly Vec2[], noFit: readonly Convex[]): Vec2[] {
  const edges: [Vec2, Vec2][] = [room, ...noFit].flatMap((poly) =>
    poly.map((p, i): [Vec2, Vec2] => [p, poly[(i + 1) % poly.length] as Vec2]),
  );
  const out: Vec2[] = [...room];
  const inRoom = (p: Vec2): boolean =>
    room.length < 3 ||
    room.every((a, i) => {
      const b = room[(i + 1) % room.length] as Vec2;
      const l = Math.hypot(b[0] - a[0], b[1] - a[1]);
      return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) >= -1e-9 * l;
    });
  for (const n of noFit) for (const p of n) if (inRoom(p)) out.push(p);
  for (let i = 0; i < edges.length; i++)
    for (let j = i + 1; j < edges.length; j++) {
      const p = crossing(edges[i] as [Vec2, Vec2], edges[j] as [Vec2, Vec2]);
      if (p && inRoom(p)) out.push(p);
    }
  return out;
}

function crossing([a, b]: readonly [Vec2, Vec2], [c, d]: readonly [Vec2, Vec2]): Vec2 | null {
  const ux = b[0] - a[0];
  const uy = b[1] - a[1];
  const vx = d[0] - c[0];
  const vy = d[1] - c[1];
  const det = ux * vy - uy * vx;
  if (det === 0) return null;
  const s = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / det;
  const t = ((c[0] - a[0]) * uy - (c[1] - a[1]) * ux) / det;
  return s < 0 || s > 1 || t < 0 || t > 1 ? null : [a[0] + s * ux, a[1] + s * uy];
}

function turnsOf(hull: Convex): number[] {
  let longest = 0;
  let along = 0;
  hull.forEach((p, i) => {
    const q = hull[(i + 1) % hull.length] as Vec2;
    const l = Math.hypot(q[0] - p[0], q[1] - p[1]);
    if (l > longest) [longest, along] = [l, Math.atan2(q[1] - p[1], q[0] - p[0])];
  });
  const even = Array.from({ length: TURNS }, (_, i) => (2 * Math.PI * i) / TURNS);
  const aligned = [0, 1, 2, 3].map((i) => (i * Math.PI) / 2 - along);
  return Math.abs(Math.sin(4 * along)) < 1e-9 ? even : [...even, ...aligned];
}

/** Around a circle of radius r, so that corners keep at least the distance. */
function circumscribedOctagon(r: number): Convex {
  const R = r / Math.cos(Math.PI / 8);
  return Array.from({ length: 8 }, (_, i): Vec2 => {
    const a = (Math.PI * (2 * i + 1)) / 8;
    return [R * Math.cos(a), R * Math.sin(a)];
  });
}
