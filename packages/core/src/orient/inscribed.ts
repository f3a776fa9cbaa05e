/** An edge of an outline: from x, y to x, y, mm. Which side is inside does not matter. */
type Edge = readonly [number, number, number, number];

export interface InscribedCircle {
  readonly centre: readonly [number, number];
  readonly radiusMm: number;
}

interface Cell {
  readonly x: number;
  readonly y: number;
  readonly half: number;
  /** Signed distance of the middle to the outline, positive inside. */
  readonly room: number;
  /** No circle with its centre in the cell is larger than this. */
  readonly most: number;
}

/**
 * Largest circle inside a region of any shape, holes and separate patches included, given by the
 * edges of its outline in any order. At most 10 % smaller than the largest there is; on a very
 * intricate outline (thousands of edges along a thin wall) the search stops at its budget and the
 * circle is only a lower bound.
 *
 * Method: branch and bound over squares; the distance to the outline changes no faster than the
 * place does, so a square's middle bounds the whole square. Ended at 10 %, since along a strip or a
 * ring countless places are equally good, then climbed to the top nearby. O(edges) per square.
 */
export function largestInscribedCircle(edges: readonly Edge[]): InscribedCircle {
  let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity; // prettier-ignore
  for (const [ax, ay, bx, by] of edges) {
    x0 = Math.min(x0, ax, bx);
    y0 = Math.min(y0, ay, by);
    x1 = Math.max(x1, ax, bx);
    y1 = Math.max(y1, ay, by);
  }
  const side = Math.min(x1 - x0, y1 - y0);
  if (!(side > 0)) return { centre: edges.length > 0 ? [x0, y0] : [0, 0], radiusMm: 0 };
  const cellAt = (x: number, y: number, half: number): Cell => {
    const room = signedDistance(edges, x, y);
    return { x, y, half, room, most: room + half * Math.SQRT2 };
  };
  // A start grid of squares; a very long outline would need too many, so their number is capped.
  const half = Math.max(side, Math.max(x1 - x0, y1 - y0) / 16) / 2;
  let open: Cell[] = [];
  for (let x = x0 + half; x < x1 + half; x += 2 * half)
    for (let y = y0 + half; y < y1 + half; y += 2 * half) open.push(cellAt(x, y, half));
  let best = open.reduce((a, b) => (b.room > a.room ? b : a));
  // Level by level: simpler than a heap, and a level holds few squares once the bound has bitten.
  let left = BUDGET / edges.length;
  for (let level = 0; level < 24 && open.length > 0 && left > 0; level++) {
    const next: Cell[] = [];
    // The most promising first, so that the bound bites early.
    open.sort((p, q) => q.most - p.most);
    for (const cell of open) {
      if (cell.most <= Math.max(0, best.room) * (1 + SLACK) + 1e-9 * side) continue;
      if ((left -= 4) < 0) break;
      const h = cell.half / 2;
      for (const [sx, sy] of [
        [-1, -1],
        [1, -1],
        [-1, 1],
        [1, 1],
      ] as const) {
        const child = cellAt(cell.x + sx * h, cell.y + sy * h, h);
        if (child.room > best.room) best = child;
        next.push(child);
      }
    }
    open = next;
  }
  for (let step = best.half; step > 1e-7 * side;) {
    const near = AROUND.map(([sx, sy]) => cellAt(best.x + sx * step, best.y + sy * step, step));
    const top = near.reduce((a, b) => (b.room > a.room ? b : a));
    if (top.room > best.room) best = top;
    else step /= 2;
  }
  return { centre: [best.x, best.y], radiusMm: Math.max(0, best.room) };
}

const SLACK = 0.1;
/** Distances from a place to an edge that may be worked out, some 10 ms. */
const BUDGET = 1e6;
const AROUND = [[1, 0], [1, 1], [0, 1], [-1, 1], [-1, 0], [-1, -1], [0, -1], [1, -1]] as const; // prettier-ignore

function signedDistance(edges: readonly Edge[], x: number, y: number): number {
  let nearest = Infinity;
  let inside = false;
  for (const [ax, ay, bx, by] of edges) {
    if (ay > y !== by > y && x < ax + ((y - ay) * (bx - ax)) / (by - ay)) inside = !inside;
    const ux = bx - ax;
    const uy = by - ay;
    const l = ux * ux + uy * uy;
    const s = l > 0 ? Math.max(0, Math.min(1, ((x - ax) * ux + (y - ay) * uy) / l)) : 0;
    const dx = x - ax - s * ux;
    const dy = y - ay - s * uy;
    nearest = Math.min(nearest, dx * dx + dy * dy);
  }
  return inside ? Math.sqrt(nearest) : -Math.sqrt(nearest);
}
