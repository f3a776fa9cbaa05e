import type { Vec3 } from '../math/index.ts';

/** Points per block: few enough that a block of neighbours is small beside the body. */
const BLOCK = 64;
/** Numbers kept per block. */
const BOX = 7;
const HALF = 0.5 * (1 + 1e-9);
/** Points remembered as a guess where the next one lies. */
const KNOWN = 128;
/** Directions of the spread. */
const SPREAD = 24;
/** Corners of the outline within which the view's inner points are passed over. */
const RIM = 64;

/**
 * The farthest points of a set along any direction. Points that stand together in the list mostly
 * stand together in space; so blocks of them get a box around, and a block is looked at only when
 * its box reaches beyond what was found. Always exact: a list in no order only costs more looks.
 */
export class Extremes {
  /** Middle x, y, z, half sides and half diagonal of the box about each block. */
  private readonly boxes: Float64Array;
  /** Where in the list some points begin that were extreme along some direction. */
  private readonly known = new Int32Array(KNOWN);
  private knownCount = 0;
  top = 0;
  bottom = 0;

  constructor(readonly points: Float64Array) {
    const n = points.length / 3;
    const blocks = Math.ceil(n / BLOCK);
    this.boxes = new Float64Array(BOX * blocks);
    for (let b = 0; b < blocks; b++) this.enclose(b, 3 * b * BLOCK, 3 * Math.min(n, (b + 1) * BLOCK)); // prettier-ignore
  }

  private enclose(block: number, from: number, to: number): void {
    const { points, boxes } = this;
    let x0 = Infinity, y0 = Infinity, z0 = Infinity; // prettier-ignore
    let x1 = -Infinity, y1 = -Infinity, z1 = -Infinity; // prettier-ignore
    for (let i = from; i < to; i += 3) {
      const x = points[i] as number;
      const y = points[i + 1] as number;
      const z = points[i + 2] as number;
      if (x < x0) x0 = x;
      if (x > x1) x1 = x;
      if (y < y0) y0 = y;
      if (y > y1) y1 = y;
      if (z < z0) z0 = z;
      if (z > z1) z1 = z;
    }
    boxes[BOX * block] = (x0 + x1) / 2;
    boxes[BOX * block + 1] = (y0 + y1) / 2;
    boxes[BOX * block + 2] = (z0 + z1) / 2;
    // A hair more than half the sides: covers the rounding of all products.
    boxes[BOX * block + 3] = (x1 - x0) * HALF;
    boxes[BOX * block + 4] = (y1 - y0) * HALF;
    boxes[BOX * block + 5] = (z1 - z0) * HALF;
    boxes[BOX * block + 6] = Math.hypot(x1 - x0, y1 - y0, z1 - z0) * HALF;
  }

  /** Finds `top` and `bottom`, the points farthest along (x, y, z) and against it. */
  along(x: number, y: number, z: number): void {
    const { points, boxes, known } = this;
    let top = 0;
    let bottom = 0;
    let hi = -Infinity;
    let lo = Infinity;
    // Points that were extreme before are a good guess: most blocks then are too near at once.
    for (let k = 0; k < this.knownCount; k++) {
      const i = known[k] as number;
      const d = x * (points[i] as number) + y * (points[i + 1] as number) + z * (points[i + 2] as number); // prettier-ignore
      if (d > hi) {
        hi = d;
        top = i;
      }
      if (d < lo) {
        lo = d;
        bottom = i;
      }
    }
    const [ax, ay, az] = [Math.abs(x), Math.abs(y), Math.abs(z)];
    const n = points.length;
    for (let b = 0, from = 0; from < n; b += BOX, from += 3 * BLOCK) {
      const middle = x * (boxes[b] as number) + y * (boxes[b + 1] as number) + z * (boxes[b + 2] as number); // prettier-ignore
      const reach = ax * (boxes[b + 3] as number) + ay * (boxes[b + 4] as number) + az * (boxes[b + 5] as number); // prettier-ignore
      if (middle + reach < hi && middle - reach > lo) continue;
      const to = from + 3 * BLOCK < n ? from + 3 * BLOCK : n;
      for (let i = from; i < to; i += 3) {
        const d = x * (points[i] as number) + y * (points[i + 1] as number) + z * (points[i + 2] as number); // prettier-ignore
        if (d > hi) {
          hi = d;
          top = i;
        }
        if (d < lo) {
          lo = d;
          bottom = i;
        }
      }
    }
    this.remember(top);
    this.remember(bottom);
    this.top = top / 3;
    this.bottom = bottom / 3;
  }

  private remember(i: number): void {
    for (let k = 0; k < this.knownCount; k++) if (this.known[k] === i) return;
    if (this.knownCount < KNOWN) this.known[this.knownCount++] = i;
  }

  /** Squared distance from point `p` to the point farthest from it, which is then `top`. */
  awayFrom(p: number): number {
    const { points, boxes } = this;
    const x = points[3 * p] as number;
    const y = points[3 * p + 1] as number;
    const z = points[3 * p + 2] as number;
    let far = 3 * p;
    let most = 0;
    let reach = 0;
    for (let b = 0, from = 0; from < points.length; b += BOX, from += 3 * BLOCK) {
      const dx = (boxes[b] as number) - x;
      const dy = (boxes[b + 1] as number) - y;
      const dz = (boxes[b + 2] as number) - z;
      const short = reach - (boxes[b + 6] as number);
      if (short > 0 && dx * dx + dy * dy + dz * dz < short * short * (1 - 1e-12)) continue;
      const to = Math.min(points.length, from + 3 * BLOCK);
      for (let i = from; i < to; i += 3) {
        const ux = (points[i] as number) - x;
        const uy = (points[i + 1] as number) - y;
        const uz = (points[i + 2] as number) - z;
        const d = ux * ux + uy * uy + uz * uz;
        if (d > most) {
          most = d;
          far = i;
        }
      }
      reach = Math.sqrt(most);
    }
    this.top = far / 3;
    return most;
  }

  /** Extreme points along a fixed spread of directions and the axes; found once. */
  spread(): readonly number[] {
    return (this.spreadOnce ??= this.findSpread());
  }
  private spreadOnce: readonly number[] | null = null;

  private findSpread(): number[] {
    const found = new Set<number>();
    const look = (x: number, y: number, z: number): void => {
      this.along(x, y, z);
      found.add(this.top).add(this.bottom);
    };
    for (let k = 0; k < SPREAD; k++) {
      const z = 1 - (k + 0.5) / SPREAD;
      const r = Math.sqrt(1 - z * z);
      const a = k * Math.PI * (3 - Math.sqrt(5));
      look(r * Math.cos(a), r * Math.sin(a), z);
    }
    look(1, 0, 0);
    look(0, 1, 0);
    look(0, 0, 1);
    return [...found];
  }

  /**
   * The points that may be corners of the outline seen against the axis u x v, in their order:
   * all but those in blocks that lie inside the outline of a few of them.
   * @param u, v unit vectors at right angles
   */
  rim(u: Vec3, v: Vec3): Int32Array {
    const { points, boxes } = this;
    const across = (w: Vec3, from: ArrayLike<number>, i: number): number =>
      w[0] * (from[i] as number) + w[1] * (from[i + 1] as number) + w[2] * (from[i + 2] as number);
    const corners: number[] = [];
    for (let k = 0; k < RIM / 2; k++) {
      const [c, s] = [Math.cos((2 * Math.PI * k) / RIM), Math.sin((2 * Math.PI * k) / RIM)];
      this.along(c * u[0] + s * v[0], c * u[1] + s * v[1], c * u[2] + s * v[2]);
      corners[k] = this.top;
      corners[k + RIM / 2] = this.bottom;
    }
    // Edges of the outline of the corners: unit normal outwards and offset.
    const edges: number[] = [];
    corners.forEach((p, k) => {
      const q = corners[(k + 1) % RIM] as number;
      const [px, py] = [across(u, points, 3 * p), across(v, points, 3 * p)];
      const [dx, dy] = [across(u, points, 3 * q) - px, across(v, points, 3 * q) - py];
      const length = Math.hypot(dx, dy);
      if (length > 0) edges.push(dy / length, -dx / length, (dy * px - dx * py) / length);
    });
    const room = 1e-9 * this.radius();
    const found = new Int32Array(points.length / 3);
    let count = 0;
    for (let b = 0; b * BLOCK < points.length / 3; b++) {
      const x = across(u, boxes, BOX * b);
      const y = across(v, boxes, BOX * b);
      const reach = (boxes[BOX * b + 6] as number) + room;
      let inside = edges.length > 0;
      for (let e = 0; inside && e < edges.length; e += 3)
        inside = (edges[e] as number) * x + (edges[e + 1] as number) * y + reach < (edges[e + 2] as number); // prettier-ignore
      if (inside) continue;
      const end = Math.min(points.length / 3, (b + 1) * BLOCK);
      for (let i = b * BLOCK; i < end; i++) found[count++] = i;
    }
    return found.subarray(0, count);
  }

  /** Largest distance from the origin, mm. */
  radius(): number {
    const { points } = this;
    let most = 0;
    for (let i = 0; i < points.length; i += 3) {
      const x = points[i] as number;
      const y = points[i + 1] as number;
      const z = points[i + 2] as number;
      const d = x * x + y * y + z * z;
      if (d > most) most = d;
    }
    return Math.sqrt(most);
  }
}
