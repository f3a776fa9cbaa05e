import type { Native, NativeShape, Point2 } from './native.ts';

/**
 * Closed outlines in a plane, x, y pairs (mm), the last joined to the first: counter-clockwise
 * round material, clockwise round holes.
 */
export type Loops = readonly Float64Array[];

export type Corner = 'round' | 'square' | 'miter';

/** Set operations on outlines. Where windings pile up, 1 or more is material. Clipper2 inside. */
export interface FlatKernel {
  /** Overlaps resolved: no loop crosses another, holes run clockwise. */
  unite(loops: Loops): Float64Array[];
  /** `a` less `b`. */
  subtract(a: Loops, b: Loops): Float64Array[];
  intersect(a: Loops, b: Loops): Float64Array[];
  /**
   * Material grown (or shrunk, when negative) by `deltaMm`; at round corners by a polygon whose
   * corners lie on the circle, `sides` of them to a full turn (default 64).
   */
  offset(loops: Loops, deltaMm: number, corner?: Corner, sides?: number): Float64Array[];
  /** Corners dropped that stand off their neighbours' line by less than `toleranceMm`. */
  simplify(loops: Loops, toleranceMm: number): Float64Array[];
  /** mm2 of material, overlaps counted once. */
  area(loops: Loops): number;
  /**
   * Triangles that fill the loops, using their corners and no others: three corner numbers each,
   * counted through all loops in order. Loops must not cross; the caller checks the result.
   */
  triangulate(loops: Loops): Uint32Array;
}

const JOIN = { round: 'Round', square: 'Square', miter: 'Miter' } as const;

export function flatKernel(native: Native): FlatKernel {
  /** Runs with shapes from loops and frees them and the result. */
  const withShapes = <T>(
    inputs: readonly Loops[],
    work: (shapes: NativeShape[]) => NativeShape,
    take: (shape: NativeShape) => T,
  ): T => {
    const live: NativeShape[] = [];
    try {
      for (const loops of inputs) live.push(shapeFrom(native, loops));
      const result = work(live);
      if (!live.includes(result)) live.push(result);
      return take(result);
    } finally {
      for (const shape of live) shape.delete();
    }
  };
  const first = (shapes: NativeShape[]): NativeShape => shapes[0] as NativeShape;
  return {
    unite: (loops) => withShapes([loops], first, loopsFrom),
    subtract: (a, b) => withShapes([a, b], (s) => native.CrossSection.difference(s), loopsFrom),
    intersect: (a, b) => withShapes([a, b], (s) => native.CrossSection.intersection(s), loopsFrom),
    offset: (loops, deltaMm, corner = 'round', sides = 64) =>
      withShapes([loops], (s) => first(s).offset(deltaMm, JOIN[corner], 2, sides), loopsFrom),
    simplify: (loops, toleranceMm) =>
      withShapes([loops], (s) => first(s).simplify(toleranceMm), loopsFrom),
    area: (loops) => withShapes([loops], first, (s) => s.area()),
    triangulate: (loops) => Uint32Array.from(native.triangulate(loops.map(contourOf)).flat()),
  };
}

const contourOf = (loop: Float64Array): Point2[] =>
  Array.from({ length: loop.length / 2 }, (_, i): Point2 => [
    loop[2 * i] as number,
    loop[2 * i + 1] as number,
  ]);

/** The caller deletes it. */
export function shapeFrom(native: Native, loops: Loops): NativeShape {
  const contours = loops.filter((loop) => loop.length >= 6).map(contourOf);
  // The library reads polygons[0] unasked, so nothing is said with one empty contour.
  return new native.CrossSection(contours.length > 0 ? contours : [[]], 'Positive');
}

const loopsFrom = (shape: NativeShape): Float64Array[] =>
  shape.toPolygons().map((polygon) => Float64Array.from(polygon.flat()));
