/**
 * A polygon in space cut into triangles. Convex ones become a fan; others lose one ear after the
 * other (Meisters 1975), seen along the polygon's mean normal (Newell's sum over its edges).
 *
 * @param points x, y, z per corner, three corners or more
 * @returns corner numbers, three per triangle, turning the way the polygon turns; n - 2 triangles
 * even where the polygon crosses itself (then they overlap)
 * Cost: O(n) for a convex polygon, O(n^3) at worst else.
 */
export function splitPolygon(points: readonly number[]): number[] {
  const n = points.length / 3;
  const flat = flatten(points, n);
  const left = Array.from({ length: n }, (_, i) => i);
  const triangles: number[] = [];
  if (isConvex(flat, n)) {
    for (let i = 1; i + 1 < n; i++) triangles.push(0, i, i + 1);
    return triangles;
  }
  while (left.length > 3) {
    let ear = left.findIndex((_, i) => isEar(flat, left, i));
    // Only a crossing or flat polygon has no ear: cut anyway, so that no area is lost silently.
    if (ear < 0) ear = 0;
    const m = left.length;
    triangles.push(left[(ear + m - 1) % m] as number, left[ear] as number, left[(ear + 1) % m] as number); // prettier-ignore
    left.splice(ear, 1);
  }
  triangles.push(...left);
  return triangles;
}

/** Corner coordinates in the plane square to the mean normal, so that the polygon turns left. */
function flatten(p: readonly number[], n: number): number[] {
  let nx = 0, ny = 0, nz = 0; // prettier-ignore
  for (let i = 0; i < n; i++) {
    const a = 3 * i;
    const b = 3 * ((i + 1) % n);
    const [ax, ay, az] = [p[a] as number, p[a + 1] as number, p[a + 2] as number];
    const [bx, by, bz] = [p[b] as number, p[b + 1] as number, p[b + 2] as number];
    nx += (ay - by) * (az + bz);
    ny += (az - bz) * (ax + bx);
    nz += (ax - bx) * (ay + by);
  }
  // Dropping the normal's largest coordinate keeps turning and inclusion as they are.
  const [x, y, z] = [Math.abs(nx), Math.abs(ny), Math.abs(nz)];
  const flat: number[] = [];
  for (let i = 0; i < 3 * n; i += 3) {
    const [px, py, pz] = [p[i] as number, p[i + 1] as number, p[i + 2] as number];
    if (z >= x && z >= y) flat.push(nz < 0 ? -px : px, py);
    else if (x >= y) flat.push(nx < 0 ? -py : py, pz);
    else flat.push(ny < 0 ? -pz : pz, px);
  }
  return flat;
}

const turn = (f: readonly number[], a: number, b: number, c: number): number =>
  ((f[2 * b] as number) - (f[2 * a] as number)) *
    ((f[2 * c + 1] as number) - (f[2 * a + 1] as number)) -
  ((f[2 * b + 1] as number) - (f[2 * a + 1] as number)) *
    ((f[2 * c] as number) - (f[2 * a] as number));

function isConvex(flat: readonly number[], n: number): boolean {
  for (let i = 0; i < n; i++) if (turn(flat, i, (i + 1) % n, (i + 2) % n) < 0) return false;
  // A star turns left everywhere too, but seen from corner 0 its corners do not go round in order.
  for (let i = 1; i + 1 < n; i++) if (turn(flat, 0, i, i + 1) < 0) return false;
  return true;
}

function isEar(flat: readonly number[], left: readonly number[], i: number): boolean {
  const m = left.length;
  const a = left[(i + m - 1) % m] as number;
  const b = left[i] as number;
  const c = left[(i + 1) % m] as number;
  if (turn(flat, a, b, c) <= 0) return false;
  return left.every(
    (q) =>
      q === a || q === b || q === c || isSamePoint(flat, q, a) || isSamePoint(flat, q, c) ||
      !(turn(flat, a, b, q) >= 0 && turn(flat, b, c, q) >= 0 && turn(flat, c, a, q) >= 0),
  ); // prettier-ignore
}

const isSamePoint = (f: readonly number[], a: number, b: number): boolean =>
  f[2 * a] === f[2 * b] && f[2 * a + 1] === f[2 * b + 1];
