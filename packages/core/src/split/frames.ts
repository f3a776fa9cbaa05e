import { cross, dot, frameOf, symmetricAxes, unit, type Axes, type Mat3, type Vec3 } from '../math/index.ts'; // prettier-ignore

export const PART_AXES: Axes = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** Principal axes of a cloud of points about its mean, longest spread first. */
export function spreadAxes(points: Float64Array): Axes {
  const n = points.length / 3;
  const mean = [0, 0, 0];
  for (let i = 0; i < points.length; i++)
    mean[i % 3] = (mean[i % 3] as number) + (points[i] as number) / n;
  const m = new Array<number>(9).fill(0);
  for (let i = 0; i < points.length; i += 3)
    for (let r = 0; r < 3; r++)
      for (let c = 0; c < 3; c++)
        m[3 * r + c] =
          (m[3 * r + c] as number) +
          ((points[i + r] as number) - (mean[r] as number)) *
            ((points[i + c] as number) - (mean[c] as number));
  return symmetricAxes(m as unknown as Mat3);
}

/** Length of the points' shadow on the unit vector `d`, mm. */
export function widthAlong(points: Float64Array, d: Vec3): number {
  let low = Infinity;
  let high = -Infinity;
  for (let i = 0; i < points.length; i += 3) {
    const w =
      (points[i] as number) * d[0] +
      (points[i + 1] as number) * d[1] +
      (points[i + 2] as number) * d[2];
    if (w < low) low = w;
    if (w > high) high = w;
  }
  return Math.max(0, high - low);
}

/** The same for all three axes of a frame, in one pass. */
export function widthsAlong(points: Float64Array, [x, y, z]: Axes): Vec3 {
  const [x0, x1, x2] = x;
  const [y0, y1, y2] = y;
  const [z0, z1, z2] = z;
  let lowX = Infinity, lowY = Infinity, lowZ = Infinity; // prettier-ignore
  let highX = -Infinity, highY = -Infinity, highZ = -Infinity; // prettier-ignore
  for (let i = 0; i < points.length; i += 3) {
    const p = points[i] as number;
    const q = points[i + 1] as number;
    const r = points[i + 2] as number;
    const a = p * x0 + q * x1 + r * x2;
    const b = p * y0 + q * y1 + r * y2;
    const c = p * z0 + q * z1 + r * z2;
    if (a < lowX) lowX = a;
    if (a > highX) highX = a;
    if (b < lowY) lowY = b;
    if (b > highY) highY = b;
    if (c < lowZ) lowZ = c;
    if (c > highZ) highZ = c;
  }
  return [Math.max(0, highX - lowX), Math.max(0, highY - lowY), Math.max(0, highZ - lowZ)];
}

/**
 * Axes of a small box round the points: for each of the given directions as one edge, the turn
 * about it with the least rectangle (sampled every 3 degrees, then refined).
 */
export function smallBox(points: Float64Array, directions: readonly Vec3[]): Axes {
  let best: Axes = PART_AXES;
  let least = Infinity;
  for (const n of directions) {
    const { u, v } = frameOf(n);
    const height = widthAlong(points, n);
    const turned = (angle: number): readonly [Vec3, Vec3] => {
      const c = Math.cos(angle);
      const s = Math.sin(angle);
      const a: Vec3 = [c * u[0] + s * v[0], c * u[1] + s * v[1], c * u[2] + s * v[2]];
      return [a, cross(n, a)];
    };
    const volume = (angle: number): number => {
      const [a, b] = turned(angle);
      return height * widthAlong(points, a) * widthAlong(points, b);
    };
    const start = 3 * (Math.PI / 180);
    let at = 0;
    let size = volume(0);
    for (let k = 1; k < 30; k++) {
      const s = volume(k * start);
      if (s < size * (1 - 1e-9)) [at, size] = [k * start, s];
    }
    for (let step = start / 2; step > 1e-5; step /= 2)
      for (const side of [-step, step]) {
        const s = volume(at + side);
        if (s < size) [at, size] = [at + side, s];
      }
    if (size < least * (1 - 1e-9)) {
      least = size;
      best = [n, ...turned(at)];
    }
  }
  return best;
}

/** The points that reach farthest in a fixed fan of directions: a small stand-in for the hull. */
export function extremePoints(points: Float64Array, count = 400): Float64Array {
  if (points.length / 3 <= count) return points;
  const kept = extremePlaces(points, count);
  const out = new Float64Array(3 * kept.size);
  let o = 0;
  for (const i of kept) {
    out.set(points.subarray(i, i + 3), o);
    o += 3;
  }
  return out;
}

/** Their places in the flat list. */
export function extremePlaces(points: Float64Array, count: number): Set<number> {
  const kept = new Set<number>();
  const blocks = blocksOf(points);
  for (let k = 0; k < count / 2; k++) {
    // Fibonacci's spiral spreads directions evenly over the half ball; both ends are taken.
    const z = (k + 0.5) / (count / 2);
    const r = Math.sqrt(1 - z * z);
    const a = k * Math.PI * (3 - Math.sqrt(5));
    const d: Vec3 = [r * Math.cos(a), r * Math.sin(a), z];
    const [lowest, highest] = farthest(points, blocks, d);
    kept.add(lowest).add(highest);
  }
  return kept;
}

/** Points looked at together: neighbours in a mesh's list are mostly neighbours in space. */
const BLOCK = 64;

/** Boxes of runs of points, six numbers each: middle and half size. */
function blocksOf(points: Float64Array): Float64Array {
  const blocks = new Float64Array(6 * Math.ceil(points.length / (3 * BLOCK)));
  for (let i = 0, o = 0; i < points.length; i += 3 * BLOCK, o += 6)
    for (let c = 0; c < 3; c++) {
      let low = Infinity, high = -Infinity; // prettier-ignore
      for (let j = i + c; j < Math.min(points.length, i + 3 * BLOCK); j += 3) {
        const x = points[j] as number;
        if (x < low) low = x;
        if (x > high) high = x;
      }
      blocks[o + c] = (low + high) / 2;
      blocks[o + 3 + c] = (high - low) / 2;
    }
  return blocks;
}

/** Places in the flat list of the points lowest and highest along `d`; blocks that can hold neither are passed over. */
function farthest(points: Float64Array, blocks: Float64Array, d: Vec3): readonly [number, number] {
  const [x, y, z] = d;
  const [ax, ay, az] = [Math.abs(x), Math.abs(y), Math.abs(z)];
  let low = Infinity, high = -Infinity, lowest = 0, highest = 0; // prettier-ignore
  for (let o = 0, i = 0; o < blocks.length; o += 6, i += 3 * BLOCK) {
    const at = (blocks[o] as number) * x + (blocks[o + 1] as number) * y + (blocks[o + 2] as number) * z; // prettier-ignore
    // A hair more, so that rounding never hides a point.
    const reach = ((blocks[o + 3] as number) * ax + (blocks[o + 4] as number) * ay + (blocks[o + 5] as number) * az) * (1 + 1e-9) + 1e-9 * Math.abs(at); // prettier-ignore
    if (at + reach <= high && at - reach >= low) continue;
    const end = Math.min(points.length, i + 3 * BLOCK);
    for (let j = i; j < end; j += 3) {
      const w = (points[j] as number) * x + (points[j + 1] as number) * y + (points[j + 2] as number) * z; // prettier-ignore
      if (w < low) [low, lowest] = [w, j];
      if (w > high) [high, highest] = [w, j];
    }
  }
  return [lowest, highest];
}

/** Whether two directions are the same line within `degrees`. */
export const sameLine = (a: Vec3, b: Vec3, degrees = 1): boolean =>
  Math.abs(dot(a, b)) > Math.cos((degrees * Math.PI) / 180);

/** A unit vector pointing into the half where its first clear component is positive. */
export function upright(d: Vec3): Vec3 | null {
  const n = unit(d);
  if (!n) return null;
  const clean = n.map((x) => (Math.abs(x) < 1e-9 ? 0 : x)) as unknown as Vec3;
  const lead = clean[2] || clean[1] || clean[0];
  return unit(lead < 0 ? (clean.map((x) => (x === 0 ? 0 : -x)) as unknown as Vec3) : clean);
}

/** How much farther `points` reach than `others` in any of 62 directions, mm. */
export function supportError(points: Float64Array, others: Float64Array): number {
  let worst = 0;
  for (let k = 0; k < 31; k++) {
    const z = (k + 0.5) / 31;
    const r = Math.sqrt(1 - z * z);
    const a = k * Math.PI * (3 - Math.sqrt(5));
    const d: Vec3 = [r * Math.cos(a), r * Math.sin(a), z];
    worst = Math.max(worst, widthAlong(points, d) - widthAlong(others, d));
  }
  return worst;
}
