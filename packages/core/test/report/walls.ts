import { meshFrom, type Mesh } from '../../src/mesh/index.ts';

/** An angle bracket: a floor w x d and a wall of height h along its end, both `t` thick. */
export function wallsOf(w: number, d: number, h: number, t: number): Mesh {
  const outline: [number, number][] = [[0, 0], [w, 0], [w, t], [t, t], [t, h], [0, h]]; // prettier-ignore
  const n = outline.length;
  const caps: [number, number, number][] = [[0, 1, 2], [0, 2, 3], [0, 3, 5], [3, 4, 5]]; // prettier-ignore
  const front = outline.map(([x, z]): [number, number, number] => [x, 0, z]);
  const back = outline.map(([x, z]): [number, number, number] => [x, d, z]);
  const sides = outline.flatMap((_, i): [number, number, number][] => {
    const j = (i + 1) % n;
    return [[i, n + j, j], [i, n + i, n + j]]; // prettier-ignore
  });
  return meshFrom(
    [...front, ...back],
    [...caps, ...caps.map(([a, b, c]): [number, number, number] => [n + a, n + c, n + b]), ...sides],
  ); // prettier-ignore
}
