/**
 * The part of manifold-3d 3.2.1 that the kernel uses. Written out here because the package's own
 * declarations import each other without file endings, which leaves every type `any` under
 * Node's module resolution.
 */
export type Point2 = [number, number];
export type Point3 = [number, number, number];

export interface NativeMesh {
  readonly numProp: number;
  readonly vertProperties: Float32Array;
  readonly triVerts: Uint32Array;
}

export interface NativeSolid {
  warp(move: (vertex: Point3) => void): NativeSolid;
  transform(columnMajor4x4: readonly number[]): NativeSolid;
  subtract(other: NativeSolid): NativeSolid;
  splitByPlane(normal: Point3, offset: number): [NativeSolid, NativeSolid];
  decompose(): NativeSolid[];
  getMesh(): NativeMesh;
  isEmpty(): boolean;
  numTri(): number;
  genus(): number;
  volume(): number;
  surfaceArea(): number;
  boundingBox(): { min: Point3; max: Point3 };
  status(): string;
  delete(): void;
}

export interface NativeShape {
  extrude(height: number): NativeSolid;
  offset(delta: number, join: string, miterLimit: number, segments: number): NativeShape;
  simplify(epsilon: number): NativeShape;
  toPolygons(): Point2[][];
  area(): number;
  delete(): void;
}

export interface Native {
  readonly Mesh: new (options: NativeMesh) => NativeMesh;
  readonly Manifold: {
    new (mesh: NativeMesh): NativeSolid;
    cube(size: Point3): NativeSolid;
    cylinder(height: number, low: number, high: number, segments: number): NativeSolid;
    union(solids: readonly NativeSolid[]): NativeSolid;
    difference(solids: readonly NativeSolid[]): NativeSolid;
    intersection(solids: readonly NativeSolid[]): NativeSolid;
  };
  readonly CrossSection: {
    new (contours: Point2[][], fillRule: string): NativeShape;
    difference(shapes: readonly NativeShape[]): NativeShape;
    intersection(shapes: readonly NativeShape[]): NativeShape;
  };
  readonly ManifoldError: new (...args: never[]) => object;
  /** Corners counted through all polygons; counter-clockwise. */
  triangulate(polygons: readonly Point2[][], epsilon?: number): Point3[];
  setup(): void;
}

export type LoadNative = (config?: { locateFile: (file: string) => string }) => Promise<Native>;
