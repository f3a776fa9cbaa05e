import { unit, type Vec3 } from './vec3.ts';

/** Seeded uniform numbers in [0, 1): mulberry32, a 32-bit mixing generator in the public domain. */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A unit vector drawn evenly over the sphere (points of the cube, kept when inside the ball). */
export function randomDirection(random: () => number): Vec3 {
  for (;;) {
    const d: Vec3 = [2 * random() - 1, 2 * random() - 1, 2 * random() - 1];
    const n = Math.hypot(...d) <= 1 ? unit(d) : null;
    if (n) return n;
  }
}
