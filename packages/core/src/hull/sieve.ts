import { orient3d } from 'robust-predicates';
import { cross, dot, length, scale, sub, type Vec3 } from '../math/index.ts';
import type { HullBuilder } from './builder.ts';

/**
 * Puts the points of a large set to a hull that was made of a sample of them: finds those outside
 * and gives each to a face that it sees.
 *
 * A map over all directions from a centre holds, per cell, two planes that cut off less than the
 * hull does: through the places where rays along the cell's corners leave the hull. A point below
 * its cell's plane is inside. The few others are settled exactly: a walk over the hull finds the
 * face whose cone from the centre holds the point; if the point does not see that face, it lies in
 * the tetrahedron of face and centre, and so in the hull.
 */

/** Cells along each side of the cube on which directions are mapped. */
const CELLS = 24;
/** Rays leave this much later than they are taken to: far more than all rounding of the map. */
const SHRINK = 1 - 1e-6;
/** Planes that rays or cells meet flatter than this carry no proof and drop nothing. */
const FLATTEST = 1e-6;

/** @returns false when no centre is safely inside (nothing was done then) */
export function assignOutside(builder: HullBuilder): boolean {
  const sieve = sieveOf(builder);
  if (sieve === null) return false;
  sift(builder.xyz, sieve, (p, cell) => {
    const face = settle(builder, sieve.centre, p, sieve.hints[cell] as number);
    if (face >= 0) builder.give(p, face);
  });
  return true;
}

/**
 * The points that the map does not drop: all that lie outside the hull, and few that do not; those
 * in like directions from the centre beside each other.
 * @returns null when no centre is safely inside
 */
export function keptOutside(builder: HullBuilder): Int32Array | null {
  const sieve = sieveOf(builder);
  if (sieve === null) return null;
  const n = builder.xyz.length / 3;
  const kept = new Int32Array(n);
  const cells = new Int32Array(n);
  const start = new Int32Array(sieve.hints.length + 1);
  let count = 0;
  sift(builder.xyz, sieve, (p, cell) => {
    kept[count] = p;
    cells[count++] = cell;
    (start[cell] as number)++;
  });
  for (let cell = 0, sum = 0; cell < start.length; cell++)
    start[cell] = sum += start[cell] as number;
  const sorted = new Int32Array(count);
  // Filled from the back: points of one cell stay in order.
  for (let i = count - 1; i >= 0; i--)
    sorted[--(start[cells[i] as number] as number)] = kept[i] as number;
  return sorted;
}

interface Sieve {
  readonly centre: Vec3;
  /** Per cell two planes (normal and offset from the centre) inside the hull. */
  readonly planes: Float64Array;
  /** Per cell a face near it. */
  readonly hints: Int32Array;
}

function sieveOf(builder: HullBuilder): Sieve | null {
  const centre = centreOf(builder);
  return centre && { centre, ...radiusMap(builder, centre) };
}

/** Hands over the points that are not below the plane of their cell. */
function sift(
  xyz: Float64Array,
  { centre, planes }: Sieve,
  passed: (point: number, cell: number) => void,
): void {
  const [cx, cy, cz] = centre;
  for (let i = 0; i < xyz.length; i += 3) {
    const x = (xyz[i] as number) - cx;
    const y = (xyz[i + 1] as number) - cy;
    const z = (xyz[i + 2] as number) - cz;
    const ax = Math.abs(x);
    const ay = Math.abs(y);
    const az = Math.abs(z);
    let side: number, u: number, v: number; // prettier-ignore
    if (ax >= ay && ax >= az) {
      if (ax === 0) continue;
      side = x < 0 ? 1 : 0;
      u = y / ax;
      v = z / ax;
    } else if (ay >= az) {
      side = y < 0 ? 3 : 2;
      u = z / ay;
      v = x / ay;
    } else {
      side = z < 0 ? 5 : 4;
      u = x / az;
      v = y / az;
    }
    u = (u + 1) * (CELLS / 2);
    v = (v + 1) * (CELLS / 2);
    const column = u < CELLS ? u | 0 : CELLS - 1;
    const row = v < CELLS ? v | 0 : CELLS - 1;
    const cell = (side * CELLS + row) * CELLS + column;
    const k = 8 * cell + (u - column >= v - row ? 0 : 4);
    if (
      (planes[k] as number) * x + (planes[k + 1] as number) * y + (planes[k + 2] as number) * z <
      (planes[k + 3] as number)
    )
      continue;
    passed(i / 3, cell);
  }
}

/** The mean of the hull's vertices, if it is strictly inside by exact tests. */
function centreOf(builder: HullBuilder): Vec3 | null {
  const { xyz, v } = builder;
  const faces = builder.faceList();
  let [x, y, z] = [0, 0, 0];
  for (const f of faces)
    for (let i = 3 * f; i < 3 * f + 3; i++) {
      const p = 3 * (v[i] as number);
      x += (xyz[p] as number) / (3 * faces.length);
      y += (xyz[p + 1] as number) / (3 * faces.length);
      z += (xyz[p + 2] as number) / (3 * faces.length);
    }
  const inside = faces.every((f) => {
    const [a, b, c] = [v[3 * f] as number, v[3 * f + 1] as number, v[3 * f + 2] as number];
    return orientation(xyz, a, b, c, x, y, z) > 0;
  });
  return inside ? [x, y, z] : null;
}

/** Exact sign: positive when (x, y, z) is on the inner side of a, b, c. */
const orientation = (xyz: Float64Array, a: number, b: number, c: number, x: number, y: number, z: number): number =>
  orient3d(
    xyz[3 * a] as number, xyz[3 * a + 1] as number, xyz[3 * a + 2] as number,
    xyz[3 * b] as number, xyz[3 * b + 1] as number, xyz[3 * b + 2] as number,
    xyz[3 * c] as number, xyz[3 * c + 1] as number, xyz[3 * c + 2] as number,
    x, y, z,
  ); // prettier-ignore

/** A face that point p sees, or -1 when p is inside the hull or on it. */
function settle(builder: HullBuilder, centre: Vec3, p: number, from: number): number {
  const { xyz } = builder;
  const f = walk(builder, centre, xyz[3 * p] as number, xyz[3 * p + 1] as number, xyz[3 * p + 2] as number, from); // prettier-ignore
  if (f >= 0) return builder.sees(f, p) ? f : -1;
  return builder.faceList().find((g) => builder.sees(g, p)) ?? -1;
}

/**
 * The face whose cone from the centre holds (x, y, z), by exact tests, crossing to a neighbour
 * wherever the point lies beyond an edge; -1 when that goes in circles, which it may.
 */
function walk(
  builder: HullBuilder,
  [cx, cy, cz]: Vec3,
  x: number,
  y: number,
  z: number,
  from: number,
): number {
  // prettier-ignore
  const { xyz, v, nb } = builder;
  let f = from;
  let came = -1;
  for (let steps = 0; steps < 1000; steps++) {
    let beyond = -1;
    for (let i = 0; i < 3 && beyond < 0; i++) {
      const g = nb[3 * f + i] as number;
      if (g === came) continue;
      const a = 3 * (v[3 * f + i] as number);
      const b = 3 * (v[3 * f + (i === 2 ? 0 : i + 1)] as number);
      const turn = orient3d(
        cx, cy, cz,
        xyz[a] as number, xyz[a + 1] as number, xyz[a + 2] as number,
        xyz[b] as number, xyz[b + 1] as number, xyz[b + 2] as number,
        x, y, z,
      ); // prettier-ignore
      if (turn > 0) beyond = g;
    }
    if (beyond < 0) return f;
    came = f;
    f = beyond;
  }
  return -1;
}

function radiusMap(builder: HullBuilder, centre: Vec3): Omit<Sieve, 'centre'> {
  const planes = new Float64Array(6 * CELLS * CELLS * 8);
  const hints = new Int32Array(6 * CELLS * CELLS);
  let face = builder.faceList()[0] as number;
  for (let side = 0; side < 6; side++) {
    const leaving: (Vec3 | null)[] = [];
    const faces: number[] = [];
    for (let row = 0; row <= CELLS; row++)
      for (let column = 0; column <= CELLS; column++) {
        // As long as the body, so that little is lost when it is added to the centre.
        const along = scale(direction(side, (2 * column) / CELLS - 1, (2 * row) / CELLS - 1), builder.diameter); // prettier-ignore
        const found = walk(builder, centre, centre[0] + along[0], centre[1] + along[1], centre[2] + along[2], face); // prettier-ignore
        if (found >= 0) face = found;
        faces.push(face);
        leaving.push(found < 0 ? null : leavesAt(builder, centre, along, found));
      }
    for (let row = 0; row < CELLS; row++)
      for (let column = 0; column < CELLS; column++) {
        const at = row * (CELLS + 1) + column;
        const cell = (side * CELLS + row) * CELLS + column;
        hints[cell] = faces[at] as number;
        const [p, q, r, s] = [at, at + 1, at + CELLS + 2, at + CELLS + 1].map((i) => leaving[i] ?? null); // prettier-ignore
        setPlane(planes, 8 * cell, p ?? null, q ?? null, r ?? null);
        setPlane(planes, 8 * cell + 4, p ?? null, r ?? null, s ?? null);
      }
  }
  return { planes, hints };
}

/** Direction through (u, v) on a side of the cube; the axes follow each other in a circle. */
function direction(side: number, u: number, v: number): Vec3 {
  const sign = side % 2 === 0 ? 1 : -1;
  return side < 2 ? [sign, u, v] : side < 4 ? [v, sign, u] : [u, v, sign];
}

/** Where a ray from the centre leaves the hull, a little early; null where it grazes the face. */
function leavesAt(builder: HullBuilder, centre: Vec3, along: Vec3, f: number): Vec3 | null {
  const { xyz, v } = builder;
  const corner = (i: number): Vec3 => {
    const p = 3 * (v[3 * f + i] as number);
    return [
      (xyz[p] as number) - centre[0],
      (xyz[p + 1] as number) - centre[1],
      (xyz[p + 2] as number) - centre[2],
    ];
  };
  const a = corner(0);
  const normal = cross(sub(corner(1), a), sub(corner(2), a));
  const slope = dot(normal, along);
  if (!(slope > FLATTEST * length(normal) * length(along))) return null;
  return scale(along, (dot(normal, a) / slope) * SHRINK);
}

function setPlane(planes: Float64Array, k: number, a: Vec3 | null, b: Vec3 | null, c: Vec3 | null) {
  // All zeros: below this plane is nothing.
  if (a === null || b === null || c === null) return;
  const normal = cross(sub(b, a), sub(c, a));
  const offset = dot(normal, a);
  if (!(Math.abs(offset) > FLATTEST * length(normal) * Math.max(length(a), length(b), length(c)))) return; // prettier-ignore
  planes.set(scale(normal, Math.sign(offset)), k);
  planes[k + 3] = Math.abs(offset);
}
