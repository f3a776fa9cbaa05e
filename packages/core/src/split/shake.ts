import { checkCancelled } from '../context.ts';
import {
  add,
  cross,
  dot,
  frameOf,
  scale,
  randomDirection,
  seededRandom,
  unit,
  type Axes,
  type Vec3,
} from '../math/index.ts';
import { clipSkin, heightsAlong, skinPoints, type Body } from './body.ts';
import { extremePoints, PART_AXES, smallBox, spreadAxes, widthsAlong } from './frames.ts';
import { halfPoints } from './halves.ts';
import { crossesZone } from './keep.ts';
import { cutLeaf, isFork, type Cut, type Draft, type Leaf, type Task } from './leaf.ts';

/** Too large by more than this after a quarter of the moves, it will come to nothing. */
const HOPELESS = 0.2;
/** How much more may be missing to a fit after a move, at first and in the end, as a share of the machine. */
const HEAT = { first: 0.03, last: 0.0005 };
/** Turns of a plane or a rotation, in radians, from large to small. */
const TURNS = [0.4, 0.15, 0.04, 0.01];
/** A shift that goes with a turn of one radian, as a share of the machine's diagonal. */
const SHIFT = 0.25;
/** Points of a piece that its own small box is looked for by. */
const POINTS = 120;
/** Pieces less too large than this are worth the search for a small box of their own, now and then. */
const NEAR = 0.15;
const NOW_AND_THEN = 0.1;
/** Room kept for what the part reaches beyond its coarser copies, and how often it may be widened. */
const ROOM = 0.002;
const WIDENED = 3;

interface Piece {
  /** The best rotation known, as a frame. */
  readonly frame: Axes;
  /** By how much it is too large, as a share of the machine; 0 fits. */
  readonly over: number;
}

interface Knot {
  readonly cut: Cut;
  readonly body: Body;
  readonly below: Node;
  readonly above: Node;
  /** Sum over its pieces. */
  readonly over: number;
  /** Sum over its cuts, as they are priced. */
  readonly costMm: number;
}

export type Node = Piece | Knot;

/** Planes without bodies: what a node is made from. */
export type Shape =
  { readonly cut: Cut; readonly below: Shape; readonly above: Shape } | { readonly frame: Axes };

/**
 * A draft's planes alone.
 * @param frameOf the rotation to try first for a piece
 */
export const shapeOf = (draft: Draft, frameOf: (leaf: Leaf) => Axes = () => PART_AXES): Shape =>
  isFork(draft)
    ? {
        cut: draft.cut,
        below: shapeOf(draft.below, frameOf),
        above: shapeOf(draft.above, frameOf),
      }
    : { frame: frameOf(draft) };

const isKnot = (node: Node): node is Knot => 'cut' in node;
export const costOf = (node: Node): number => (isKnot(node) ? node.costMm : 0);
export const countPieces = (node: Node): number =>
  isKnot(node) ? countPieces(node.below) + countPieces(node.above) : 1;

/** Every knot with those above it, from the first cut on. */
const pathsOf = (node: Node): Knot[][] =>
  isKnot(node)
    ? [[node], ...[...pathsOf(node.below), ...pathsOf(node.above)].map((path) => [node, ...path])]
    : [];

export interface Cooling {
  readonly first: number;
  readonly last: number;
}

/** Heat after a share of the moves: fast at first, then ever more slowly. */
export const heatAt = ({ first, last }: Cooling, share: number): number =>
  last + (first - last) * (1 - share) ** 2;

/** What cuts cost, for plans that are to get cheaper and not only to fit. */
export interface Price {
  readonly of: (cut: Cut, body: Body, heights: Float64Array) => number;
  /** What a millimetre counts, in shares of the machine by which pieces may be too large. */
  readonly perMm: number;
}

const isGiven = (path: readonly Knot[]): boolean => path.at(-1)?.cut.origin === 'given';

/**
 * Moves the planes of a plan about on ever finer copies of the part, until every piece fits. What a
 * piece is too large by is measured in the rotation it was left in, in a few near that, and in those in
 * which other pieces fitted: rotations and planes settle together.
 */
export class Shaking {
  private readonly task: Task;
  private readonly price: Price | null;
  private readonly random: () => number;
  private readonly mayTurn: boolean;
  private room = 1 + ROOM;

  constructor(task: Task, price: Price | null = null, seed = 1) {
    this.task = task;
    this.price = price;
    this.random = seededRandom(seed);
    this.mayTurn = task.candidates.net.length > 0;
  }

  /** The shapes as nodes, the most promising first. */
  starts(shapes: readonly Shape[], body: Body): Node[] {
    // What was joined may reach into zones that its cuts passed beside.
    const clear = (shape: Shape): boolean =>
      !('cut' in shape) ||
      (!this.task.keep.some((zone) => crossesZone(zone, shape.cut)) &&
        clear(shape.below) &&
        clear(shape.above));
    return shapes
      .filter(clear)
      .map((shape) => this.grow(shape, body))
      .filter((node) => node !== null)
      .sort((a, b) => a.over - b.over);
  }

  /**
   * @param bodies the part in ever more facets; the last is that of the leaf
   * @param perPiece moves for each piece
   */
  run(start: Node, root: Leaf, bodies: readonly Body[], perPiece: number): Draft | null {
    let node = start;
    let level = 0;
    this.room = 1 + ROOM;
    const moves = perPiece * countPieces(start);
    for (let k = 0; k <= moves; k++) {
      if (k % 256 === 0) checkCancelled(this.task.signal && { signal: this.task.signal });
      while (node.over === 0) {
        const draft = carriedOut(node, root, this.task);
        if (draft) return draft;
        level++;
        if (level >= bodies.length) this.room += ROOM;
        if (level >= bodies.length + WIDENED) return null;
        const finer = this.grow(node, bodies[Math.min(level, bodies.length - 1)] as Body);
        if (!finer) return null;
        node = finer;
      }
      if (k === moves >> 2 && node.over > HOPELESS) return null;
      node = this.moved(node, heatAt(HEAT, k / moves));
    }
    return null;
  }

  /** The node after a move, or as it was where that would make it worse by more than heat allows. */
  moved(node: Node, heat: number): Node {
    const path = this.chosen(node);
    const knot = path[path.length - 1];
    if (!knot) return node;
    const cut = this.nearby(knot);
    if (!cut) return node;
    // What it may get worse is drawn first: most moves are turned down by their first pieces.
    const most = this.worth(knot) - heat * Math.log(1 - this.random());
    const next = this.grow({ cut, below: knot.below, above: knot.above }, knot.body, most);
    if (!next) return node;
    return path.slice(0, -1).reduceRight<Node>((inner, outer, i) => {
      const old = path[i + 1] as Knot;
      const below = outer.below === old ? inner : outer.below;
      const above = outer.above === old ? inner : outer.above;
      const costMm = outer.costMm - costOf(old) + costOf(inner);
      return { ...outer, below, above, over: below.over + above.over, costMm };
    }, next);
  }

  private worth(node: Node): number {
    return node.over + (this.price?.perMm ?? 0) * costOf(node);
  }

  /** A knot to move and those above it: mostly one that bounds a piece that is too large, if any is. */
  private chosen(node: Node): Knot[] {
    const { random } = this;
    if (node.over > 0 && random() < 0.8) {
      const path: Knot[] = [];
      for (let at: Node = node; isKnot(at);) {
        path.push(at);
        at = random() * at.over < at.below.over ? at.below : at.above;
      }
      const chosen = path.slice(0, Math.floor(random() * path.length) + 1);
      return isGiven(chosen) ? [] : chosen;
    }
    const paths = pathsOf(node).filter((path) => !isGiven(path));
    return paths[Math.floor(random() * paths.length)] ?? [];
  }

  /** A plane near a knot's own, or now and then any other through its body. */
  private nearby({ cut, body }: Knot): Cut | null {
    const { random, task } = this;
    const size = TURNS[Math.floor(random() * TURNS.length)] as number;
    const shift = random() < 0.7 ? this.bell() * size * SHIFT * task.judge.diagonalMm : 0;
    let moved: Cut = { ...cut, offsetMm: cut.offsetMm + shift };
    if (this.mayTurn && random() < 0.6) {
      const normal = random() < 0.1 ? randomDirection(random) : this.tilted(cut.normal, size);
      const middle = meanOf(body);
      const on = add(middle, scale(cut.normal, cut.offsetMm - dot(cut.normal, middle)));
      moved = { normal, offsetMm: dot(normal, on) + shift, origin: 'refined' };
    }
    return task.keep.some((zone) => crossesZone(zone, moved)) ? null : moved;
  }

  private tilted(n: Vec3, size: number): Vec3 {
    const { u, v } = frameOf(n);
    return unit(add(n, add(scale(u, size * this.bell()), scale(v, size * this.bell())))) ?? n;
  }

  /** Roughly normal, of deviation 0.7. */
  private bell(): number {
    const { random } = this;
    return random() + random() + random() + random() + random() + random() - 3;
  }

  /** Nothing when a side is left empty, or when it comes out worse than `most`. */
  grow(shape: Shape, body: Body, most = Infinity): Node | null {
    if (!('cut' in shape)) return this.piece(shape.frame, skinPoints(body), most);
    const { cut } = shape;
    const heights = heightsAlong(body.positions, cut.normal);
    const hereMm = this.price?.of(cut, body, heights) ?? 0;
    const rest = most - hereMm * (this.price?.perMm ?? 0);
    if (rest < 0) return null;
    const left = (below: Node): number => rest - this.worth(below);
    let below: Node | null;
    let above: Node | null;
    if ('cut' in shape.below || 'cut' in shape.above) {
      const halves = clipSkin(body, heights, cut.offsetMm);
      if (!halves.below || !halves.above) return null;
      below = this.grow(shape.below, halves.below, rest);
      above = below && this.grow(shape.above, halves.above, left(below));
    } else {
      // Both are pieces, only to be measured: half of all cuts or more, and facets are most of the work.
      const points = halfPoints(body, heights, cut.offsetMm);
      if (!points) return null;
      below = this.piece(shape.below.frame, points.below, rest);
      above = below && this.piece(shape.above.frame, points.above, left(below));
    }
    if (!below || !above) return null;
    const costMm = hereMm + costOf(below) + costOf(above);
    return { cut, body, below, above, over: below.over + above.over, costMm };
  }

  private piece(known: Axes, points: Float64Array, most: number): Piece | null {
    let frame = known;
    let excess = Infinity;
    const look = (f: Axes, boxed: boolean): void => {
      if (excess <= 1) return;
      const [a, b, c] = widthsAlong(points, f);
      const e = this.task.judge.excess(a, b, c, boxed) * this.room;
      if (e < excess) [excess, frame] = [e, f];
    };
    look(known, false);
    const others = this.task.judge.frames();
    for (let k = 0; k < 3 && others.length > 0; k++)
      look(others[Math.floor(this.random() * others.length)] as Axes, false);
    for (let k = 0; k < 2; k++)
      look(
        this.turnedFrame(frame, TURNS[Math.floor(this.random() * TURNS.length)] as number),
        false,
      );
    look(PART_AXES, true);
    if (excess > 1 && excess < 1 + NEAR && this.random() < NOW_AND_THEN) {
      const few = extremePoints(points, POINTS);
      const spread = spreadAxes(few);
      look(spread, true);
      look(smallBox(few, spread), true);
    }
    const over = Math.max(0, excess - 1);
    return over <= most ? { frame, over } : null;
  }

  private turnedFrame([x, y]: Axes, size: number): Axes {
    const a = this.tilted(x, size);
    const b = unit(add(y, scale(a, -dot(a, y)))) ?? frameOf(a).u;
    return [a, b, cross(a, b)];
  }
}

/** The planes carried out on the part; null unless every piece fits. */
export function carriedOut(node: Node, leaf: Leaf, task: Task): Draft | null {
  if (!isKnot(node)) {
    if (leaf.count === 1) return leaf;
    return task.judge.fitsIn(skinPoints(leaf.body), node.frame) ? { ...leaf, count: 1 } : null;
  }
  const sides = cutLeaf(leaf, node.cut, task);
  if (!sides) return null;
  const below = carriedOut(node.below, sides.below, task);
  const above = below && carriedOut(node.above, sides.above, task);
  return below && above && { cut: node.cut, leaf, below, above };
}

function meanOf({ positions: p }: Body): Vec3 {
  const sum = [0, 0, 0];
  for (let i = 0; i < p.length; i++) sum[i % 3] = (sum[i % 3] as number) + (p[i] as number);
  return scale(sum as unknown as Vec3, 3 / p.length);
}
