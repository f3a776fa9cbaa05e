import { describe, expect, it } from 'vitest';
import { Occluders } from '../../src/draw/occlude.ts';
import { seededRandom } from '../../src/math/index.ts';

/** The slow twin: is any triangle over this point of the line? */
function covered(p: Float64Array, t: Uint32Array, x: number, y: number, z: number, margin: number): boolean {
  for (let f = 0; f < t.length; f += 3) {
    const [i, j, k] = [3 * (t[f] as number), 3 * (t[f + 1] as number), 3 * (t[f + 2] as number)];
    const at = (n: number): number => p[n] as number;
    const side = (a: number, b: number): number =>
      (at(b) - at(a)) * (y - at(a + 1)) - (at(b + 1) - at(a + 1)) * (x - at(a));
    const area = side(i, j) + side(j, k) + side(k, i);
    const [u, v, w] = [side(j, k) / area, side(k, i) / area, side(i, j) / area];
    if (Math.min(u, v, w) < margin) continue;
    if (u * at(i + 2) + v * at(j + 2) + w * at(k + 2) > z + margin) return true;
  }
  return false;
} // prettier-ignore

describe('the search for what hides a line', () => {
  it.each([
    ['few large triangles', 30, 70],
    ['many small triangles', 800, 16],
    ['slivers and small ones', 300, 30],
  ])('agrees with trying every triangle at every point: %s (seed 7)', (_, count, size) => {
    const random = seededRandom(7);
    const p = Float64Array.from({ length: 9 * count }, () => 0);
    for (let f = 0; f < count; f++) {
      const c = [random() * 100, random() * 100, random() * 100];
      for (let k = 0; k < 9; k++)
        p[9 * f + k] = (c[k % 3] as number) + (random() - 0.5) * size * (f % 3 === k % 3 ? 1 : 0.2);
    }
    const t = Uint32Array.from({ length: 3 * count }, (_v, i) => i);
    const all = Uint32Array.from({ length: count }, (_v, i) => i);
    const occluders = new Occluders(p, t, all);
    let tried = 0;
    let hidden = 0;
    let wrong = 0;
    for (let n = 0; n < 60; n++) {
      const [ax, ay, az, bx, by, bz] = Array.from({ length: 6 }, () => random() * 100) as [
        number, number, number, number, number, number,
      ]; // prettier-ignore
      const runs = [...occluders.hidden(ax, ay, az, bx, by, bz, -1, -1)];
      for (let i = 0; i < 20; i++) {
        const s = random();
        const at = (a: number, b: number): number => a + (b - a) * s;
        const [x, y, z] = [at(ax, bx), at(ay, by), at(az, bz)];
        // Points at an edge of a triangle may fall either way by rounding; they are left out.
        const sure = covered(p, t, x, y, z, 1e-3);
        if (sure !== covered(p, t, x, y, z, -1e-3)) continue;
        let said = false;
        for (let k = 0; k < runs.length; k += 2)
          if (s > (runs[k] as number) && s < (runs[k + 1] as number)) said = true;
        tried++;
        if (sure) hidden++;
        if (said !== sure) wrong++;
      }
    }
    expect(tried).toBeGreaterThan(800);
    expect(hidden).toBeGreaterThan(30);
    expect(wrong).toBe(0);
  });
});
