import type { Extremes } from './extremes.ts';

/**
 * Proves that a point set is nowhere thinner than `target`: whatever its rotation, it cannot pass
 * between two parallel walls closer than that. Settles bodies that are nearly round, for which
 * every rotation is as good as any other and a search over rotations has nothing to prune.
 *
 * Method: the width along v is at least D . v / |v| for any two points joined by D. Over a square
 * of a cube's face, v = (1, s, t), that quotient is quasi-concave, so its least value sits at a
 * corner; squares are quartered until every corner is above the target.
 * @returns true when proved; false when refuted at some direction, or not settled in `maxCells`
 */
export function isNowhereThinner(points: Extremes, target: number, maxCells = 30_000): boolean {
  let cells = 0;
  // Faces x, y, z of the cube; the opposite ones see the same widths.
  const todo: [face: number, s: number, t: number, half: number][] = [
    [0, 0, 0, 1],
    [1, 0, 0, 1],
    [2, 0, 0, 1],
  ];
  for (let cell = todo.pop(); cell; cell = todo.pop()) {
    if (++cells > maxCells) return false;
    const [face, s, t, half] = cell;
    const v = at(face, s, t);
    const d = spanAlong(points, v);
    if (quotient(d, v) < target) return false;
    const held = [-half, half].every((ds) =>
      [-half, half].every((dt) => quotient(d, at(face, s + ds, t + dt)) >= target),
    );
    if (held) continue;
    const q = half / 2;
    for (const ds of [-q, q]) for (const dt of [-q, q]) todo.push([face, s + ds, t + dt, q]);
  }
  return true;
}

/**
 * Least width over a fixed spread of directions: never less than the true least width. The look
 * ends as soon as the width is under `enough`.
 */
export function sampledWidth(points: Extremes, enough = 0, directions = 200): number {
  let least = Infinity;
  for (let k = 0; k < directions && least >= enough; k++) {
    const z = 1 - (k + 0.5) / directions;
    const r = Math.sqrt(1 - z * z);
    const a = k * Math.PI * (3 - Math.sqrt(5));
    const v: Triple = [r * Math.cos(a), r * Math.sin(a), z];
    least = Math.min(least, quotient(spanAlong(points, v), v));
  }
  return least;
}

type Triple = readonly [number, number, number];

const at = (face: number, s: number, t: number): Triple =>
  face === 0 ? [1, s, t] : face === 1 ? [s, 1, t] : [s, t, 1];

const quotient = (d: Triple, v: Triple): number =>
  (d[0] * v[0] + d[1] * v[1] + d[2] * v[2]) / Math.hypot(v[0], v[1], v[2]);

/** From the lowest point along v to the highest. */
function spanAlong(extremes: Extremes, v: Triple): Triple {
  extremes.along(v[0], v[1], v[2]);
  const { points } = extremes;
  const top = 3 * extremes.top;
  const bottom = 3 * extremes.bottom;
  return [
    (points[top] as number) - (points[bottom] as number),
    (points[top + 1] as number) - (points[bottom + 1] as number),
    (points[top + 2] as number) - (points[bottom + 2] as number),
  ];
}
