import { degrees, radians } from '../units.ts';
import { cross, dot, length, type Vec3 } from './vec3.ts';

/** Unit quaternion x, y, z, w; it turns a part-frame vector into the machine's frame. */
export type Quat = readonly [number, number, number, number];

/** 3x3 matrix, row-major: m[3 * row + column]. */
export type Mat3 = readonly [
  number, number, number,
  number, number, number,
  number, number, number,
]; // prettier-ignore

export const IDENTITY: Quat = [0, 0, 0, 1];

export function normalizeQuat(q: Quat): Quat {
  const l = Math.hypot(q[0], q[1], q[2], q[3]);
  return l > 0 ? [q[0] / l, q[1] / l, q[2] / l, q[3] / l] : IDENTITY;
}

/** The turn `a` after the turn `b`. */
export function multiplyQuat(a: Quat, b: Quat): Quat {
  const [ax, ay, az, aw] = a;
  const [bx, by, bz, bw] = b;
  return [
    aw * bx + ax * bw + ay * bz - az * by,
    aw * by - ax * bz + ay * bw + az * bx,
    aw * bz + ax * by - ay * bx + az * bw,
    aw * bw - ax * bx - ay * by - az * bz,
  ];
}

export function quatToMatrix(q: Quat): Mat3 {
  const [x, y, z, w] = q;
  return [
    1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y),
    2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x),
    2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y),
  ]; // prettier-ignore
}

/** Rotation matrix to unit quaternion with w >= 0 (Shepperd 1978: largest component first). */
export function matrixToQuat(m: Mat3): Quat {
  const [a, b, c, d, e, f, g, h, i] = m;
  const candidates = [1 + a + e + i, 1 + a - e - i, 1 - a + e - i, 1 - a - e + i] as const;
  const best = candidates.indexOf(Math.max(...candidates));
  const s = 2 * Math.sqrt(candidates[best] as number);
  let q: Quat;
  if (best === 0) q = [(h - f) / s, (c - g) / s, (d - b) / s, s / 4];
  else if (best === 1) q = [s / 4, (b + d) / s, (c + g) / s, (h - f) / s];
  else if (best === 2) q = [(b + d) / s, s / 4, (f + h) / s, (c - g) / s];
  else q = [(c + g) / s, (f + h) / s, s / 4, (d - b) / s];
  q = normalizeQuat(q);
  return q[3] < 0 ? [-q[0], -q[1], -q[2], -q[3]] : q;
}

export const rotate = (m: Mat3, v: Vec3): Vec3 => [
  m[0] * v[0] + m[1] * v[1] + m[2] * v[2],
  m[3] * v[0] + m[4] * v[1] + m[5] * v[2],
  m[6] * v[0] + m[7] * v[1] + m[8] * v[2],
];

export const transpose = (m: Mat3): Mat3 => [m[0], m[3], m[6], m[1], m[4], m[7], m[2], m[5], m[8]];

export function multiplyMat3(a: Mat3, b: Mat3): Mat3 {
  const out = new Array<number>(9);
  for (let r = 0; r < 3; r++)
    for (let c = 0; c < 3; c++)
      out[3 * r + c] =
        (a[3 * r] as number) * (b[c] as number) +
        (a[3 * r + 1] as number) * (b[3 + c] as number) +
        (a[3 * r + 2] as number) * (b[6 + c] as number);
  return out as unknown as Mat3;
}

/** Turn by `angle` radians about the unit vector `axis`, right-handed. */
export function quatAbout(axis: Vec3, angle: number): Quat {
  const s = Math.sin(angle / 2);
  return [axis[0] * s, axis[1] * s, axis[2] * s, Math.cos(angle / 2)];
}

/** The shortest turn that brings unit vector `from` onto unit vector `to`. */
export function quatBetween(from: Vec3, to: Vec3): Quat {
  const c = dot(from, to);
  if (c < -1 + 1e-12) {
    const side: Vec3 = Math.abs(from[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0];
    const axis = cross(from, side);
    const l = length(axis);
    return [axis[0] / l, axis[1] / l, axis[2] / l, 0];
  }
  const v = cross(from, to);
  return normalizeQuat([v[0], v[1], v[2], 1 + c]);
}

/**
 * Turns in degrees about the fixed axes, X first, then Y, then Z, so R = Rz * Ry * Rx.
 * Each in (-180, 180]; Y in [-90, 90]. At Y = +-90 the X turn is set to 0.
 */
export function turnsXyzDeg(m: Mat3): Vec3 {
  // Not asin: near 90 degrees it loses half of the digits.
  const level = Math.hypot(m[0], m[3]);
  const y = clean(degrees(Math.atan2(-m[6], level)));
  if (level < 1e-9) return [0, y, clean(degrees(Math.atan2(-m[1], m[4])))];
  return [clean(degrees(Math.atan2(m[7], m[8]))), y, clean(degrees(Math.atan2(m[3], m[0])))];
}

const clean = (x: number): number => (x === 0 ? 0 : x <= -180 ? x + 360 : x);

/** The rotation of three turns in degrees about the fixed axes, X first, then Y, then Z. */
export function quatFromTurnsDeg(turns: Vec3): Quat {
  const x = quatAbout([1, 0, 0], radians(turns[0]));
  const y = quatAbout([0, 1, 0], radians(turns[1]));
  const z = quatAbout([0, 0, 1], radians(turns[2]));
  return multiplyQuat(z, multiplyQuat(y, x));
}
