import type { Envelope } from '../envelope/index.ts';
import type { Vec3 } from '../math/index.ts';

/**
 * How many pieces a box-shaped thing needs, from tables made once per envelope. All answers are
 * upper bounds by construction: a piece counted as one has a way to stand in the envelope.
 */

/** Axis-parallel boxes inside the envelope's free space, margins taken off, mm. */
export function innerBoxes(envelope: Envelope): Vec3[] {
  const side = envelope.marginSideMm;
  const height = envelope.heightMm - envelope.marginTopMm;
  const plate = envelope.plate;
  if (plate.shape === 'box') return [[plate.widthMm - 2 * side, plate.depthMm - 2 * side, height]];
  if (plate.shape === 'round') {
    const d = plate.diameterMm - 2 * side;
    return [45, 60, 70, 80].map((deg): Vec3 => {
      const a = (deg * Math.PI) / 180;
      return [d * Math.sin(a), d * Math.cos(a), height];
    });
  }
  return polygonBoxes(plate.outlineMm, side).map(([w, d]): Vec3 => [w, d, height]);
}

/** Rectangles in a convex outline about its mean corner, at 12 turns and 5 proportions. */
function polygonBoxes(
  outline: readonly (readonly [number, number])[],
  margin: number,
): [number, number][] {
  const mx = outline.reduce((s, p) => s + p[0], 0) / outline.length;
  const my = outline.reduce((s, p) => s + p[1], 0) / outline.length;
  const boxes: [number, number][] = [];
  for (const proportion of [1, 0.75, 0.5, 0.3, 0.15]) {
    let best = 0;
    for (let turn = 0; turn < 12; turn++) {
      const a = (turn * Math.PI) / 12;
      let half = Infinity;
      outline.forEach((p, i) => {
        const q = outline[(i + 1) % outline.length] as readonly [number, number];
        const l = Math.hypot(q[0] - p[0], q[1] - p[1]);
        if (l === 0) return;
        const nx = (q[1] - p[1]) / l;
        const ny = (p[0] - q[0]) / l;
        const room = nx * (p[0] - mx) + ny * (p[1] - my) - margin;
        const along = Math.abs(nx * Math.cos(a) + ny * Math.sin(a));
        const across = Math.abs(ny * Math.cos(a) - nx * Math.sin(a));
        half = Math.min(half, room / (along + proportion * across));
      });
      best = Math.max(best, half);
    }
    boxes.push([2 * best, 2 * best * proportion]);
  }
  return boxes;
}

const STEPS = 16;
const SLACK = 1 + 1e-12;

/**
 * Long bars in one box: for a grid of sections b x c the rotation that takes the longest bar.
 * Asked about any section, the rotations of the four grid points around it are tried on it.
 */
class ReachTable {
  private readonly box: Vec3;
  /** Nine absolute components per grid point; see `turned`. */
  private readonly ways: Float64Array;
  private readonly step: number;
  readonly least: number;

  constructor(box: Vec3) {
    this.box = box;
    this.least = Math.min(...box);
    this.step = Math.max(...box) / STEPS;
    this.ways = new Float64Array(9 * (STEPS + 1) ** 2);
    const coarse = coarseWays();
    for (let i = 0; i <= STEPS; i++)
      for (let j = 0; j <= i; j++) {
        const way = bestWay(i * this.step, j * this.step, box, coarse);
        this.ways.set(way, 9 * (i * (STEPS + 1) + j));
      }
  }

  /** A length up to which a bar of that section surely fits; 0 when none is known. */
  reach(b: number, c: number): number {
    const x = Math.max(b, c);
    const y = Math.min(b, c);
    let l = 0;
    if (x <= STEPS * this.step) {
      const i = Math.min(STEPS - 1, Math.floor(x / this.step));
      const j = Math.min(STEPS - 1, Math.floor(y / this.step));
      for (let corner = 0; corner < 4; corner++) {
        const u = i + (corner & 1);
        const v = Math.min(u, j + (corner >> 1));
        l = Math.max(l, barLength(x, y, this.box, this.ways, 9 * (u * (STEPS + 1) + v)));
      }
    }
    for (let k = 0; k < 3; k++) {
      const e = this.box[k] as number;
      const f = (this.box[(k + 1) % 3] as number) * SLACK;
      const g = (this.box[(k + 2) % 3] as number) * SLACK;
      if (e > l && ((b <= f && c <= g) || (b <= g && c <= f))) l = e;
    }
    return l;
  }
}

export interface BoxCount {
  readonly count: number;
  /** How many slices along each of the three sides. */
  readonly slices: Vec3;
}

export class Reach {
  private readonly tables: readonly ReachTable[];

  constructor(envelopes: readonly Envelope[]) {
    this.tables = envelopes.flatMap(innerBoxes).map((box) => new ReachTable(box));
  }

  /** Whether a box of these sides stands in some envelope, tilted if need be. */
  fits(a: number, b: number, c: number): boolean {
    return this.tables.some(
      (t) => a <= t.reach(b, c) * SLACK || b <= t.reach(a, c) * SLACK || c <= t.reach(a, b) * SLACK,
    );
  }

  /** How many times longer than it may be a box is along one of its sides; at most 1 fits. */
  excess(a: number, b: number, c: number): number {
    let least = Infinity;
    for (const t of this.tables)
      least = Math.min(least, a / t.reach(b, c), b / t.reach(a, c), c / t.reach(a, b));
    return least;
  }

  /** Fewest equal cells of a grid over the box that each fit, as far as the tables know. */
  count(size: Vec3): BoxCount {
    if (this.fits(...size)) return { count: 1, slices: [1, 1, 1] };
    let best: BoxCount = { count: Infinity, slices: [1, 1, 1] };
    for (const table of this.tables)
      for (let k = 0; k < 3; k++) {
        const a = size[k] as number;
        const b = size[(k + 1) % 3] as number;
        const c = size[(k + 2) % 3] as number;
        const mostB = Math.min(24, Math.ceil((b / table.least) * (1 - 1e-12)) || 1);
        const mostC = Math.min(24, Math.ceil((c / table.least) * (1 - 1e-12)) || 1);
        for (let nb = 1; nb <= mostB && nb < best.count; nb++)
          for (let nc = 1; nc <= mostC && nb * nc < best.count; nc++) {
            const reach = table.reach(b / nb, c / nc);
            if (reach <= 0) continue;
            const na = Math.max(1, Math.ceil((a / reach) * (1 - 1e-12)));
            if (na * nb * nc >= best.count) continue;
            const slices = [1, 1, 1];
            slices[k] = na;
            slices[(k + 1) % 3] = nb;
            slices[(k + 2) % 3] = nc;
            best = { count: na * nb * nc, slices: slices as unknown as Vec3 };
          }
      }
    return best;
  }
}

/** Absolute components, axis by axis: along the bar, along side b, along side c. */
function turned(tilt: number, turn: number, roll: number, out: Float64Array, at: number): void {
  const st = Math.sin(tilt), ct = Math.cos(tilt), sn = Math.sin(turn), cn = Math.cos(turn); // prettier-ignore
  const s = Math.sin(roll), c = Math.cos(roll); // prettier-ignore
  out[at] = Math.abs(st * cn);
  out[at + 1] = Math.abs(c * ct * cn - s * sn);
  out[at + 2] = Math.abs(-c * sn - s * ct * cn);
  out[at + 3] = Math.abs(st * sn);
  out[at + 4] = Math.abs(c * ct * sn + s * cn);
  out[at + 5] = Math.abs(c * cn - s * ct * sn);
  out[at + 6] = Math.abs(ct);
  out[at + 7] = Math.abs(c * st);
  out[at + 8] = Math.abs(s * st);
}

const TILTS = 8;
const ROLLS = 8;

function coarseWays(): Float64Array {
  const out = new Float64Array(9 * (TILTS + 1) * (TILTS + 1) * ROLLS);
  let at = 0;
  for (let i = 0; i <= TILTS; i++)
    for (let j = 0; j <= TILTS; j++)
      for (let r = 0; r < ROLLS; r++, at += 9)
        turned(
          (i * Math.PI) / 2 / TILTS,
          (j * Math.PI) / 2 / TILTS,
          (r * Math.PI) / ROLLS,
          out,
          at,
        );
  return out;
}

/** Length of the longest bar of section b x c in that rotation; 0 when the section is too wide. */
function barLength(b: number, c: number, box: Vec3, way: Float64Array, at: number): number {
  let l = Infinity;
  for (let k = 0; k < 3; k++) {
    const room =
      (box[k] as number) - b * (way[at + 3 * k + 1] as number) - c * (way[at + 3 * k + 2] as number); // prettier-ignore
    if (room < 0) return 0;
    const u = way[at + 3 * k] as number;
    if (u > 1e-9) l = Math.min(l, room / u);
  }
  return l;
}

/** The best of the coarse rotations, improved by a shrinking pattern search. */
function bestWay(b: number, c: number, box: Vec3, coarse: Float64Array): Float64Array {
  let best = -1;
  let length = -1;
  for (let i = 0; i < coarse.length; i += 9) {
    const l = barLength(b, c, box, coarse, i);
    if (l > length) {
      length = l;
      best = i / 9;
    }
  }
  const angles = [
    (Math.floor(best / ROLLS / (TILTS + 1)) * Math.PI) / 2 / TILTS,
    ((Math.floor(best / ROLLS) % (TILTS + 1)) * Math.PI) / 2 / TILTS,
    ((best % ROLLS) * Math.PI) / ROLLS,
  ] as [number, number, number];
  const way = new Float64Array(9);
  for (let step = Math.PI / 32; step > 1e-3;) {
    let improved = false;
    // All 26 neighbours: along a ridge of this least-of-three function single axes get stuck.
    for (let k = 0; k < 27; k++) {
      const tried: [number, number, number] = [
        angles[0] + ((k % 3) - 1) * step,
        angles[1] + ((Math.floor(k / 3) % 3) - 1) * step,
        angles[2] + (Math.floor(k / 9) - 1) * step,
      ];
      turned(...tried, way, 0);
      const l = barLength(b, c, box, way, 0);
      if (l > length) {
        length = l;
        angles.splice(0, 3, ...tried);
        improved = true;
      }
    }
    if (!improved) step /= 2;
  }
  turned(...angles, way, 0);
  return way;
}
