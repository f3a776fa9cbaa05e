import { ScantlingError } from '../errors.ts';
import { frameOf, type Vec3 } from '../math/index.ts';
import type { Box3, Mesh, Plane, PlaneFrame } from '../mesh/index.ts';
import { meshFromNative, nativeFromMesh } from './exact.ts';
import { flatKernel, shapeFrom, type FlatKernel, type Loops } from './flat.ts';
import type { LoadNative, Native, NativeSolid } from './native.ts';

/**
 * A solid inside the kernel. It lives until its scope ends; take the mesh out to keep it.
 * Opaque: only the scope's own functions look inside.
 */
export interface Solid {
  readonly kind: 'solid';
}

export interface Kernel {
  /**
   * Runs `work` and frees every solid it made, also when it throws: memory of the kernel is not
   * garbage-collected. Solids must not be used afterwards. Scopes nest.
   */
  scope<T>(work: (solids: Solids) => T): T;
  /** Outlines in the plane; plain data in and out, nothing to free. */
  readonly flat: FlatKernel;
}

/** What can be done with solids inside one scope. Lengths in mm; every result belongs to the scope. */
export interface Solids {
  /**
   * A solid from one closed, consistently oriented surface, taken as it is: negative when it is
   * inside out, counted twice where shells overlap. `solidFromShells` treats shells by sign.
   * @throws ScantlingError `NOT_CLOSED`, `NON_FINITE`
   */
  meshToSolid(mesh: Mesh): Solid;
  /** Positions in full 64-bit precision; an empty solid gives an empty mesh. */
  solidToMesh(solid: Solid): Mesh;
  box(size: Vec3, min: Vec3): Solid;
  /** Regular prism of `sides` corners ON the circle of `radius`, from `from` along the unit `axis`. */
  cylinder(from: Vec3, axis: Vec3, radiusMm: number, lengthMm: number, sides: number): Solid;
  /** Outlines (positive winding is material) raised along the frame's normal from its plane. */
  extrude(loops: Loops, frame: PlaneFrame, heightMm: number): Solid;
  union(solids: readonly Solid[]): Solid;
  /** `from` less all of `tools`. */
  subtract(from: Solid, tools: readonly Solid[]): Solid;
  intersect(solids: readonly Solid[]): Solid;
  /** Capped on both sides. `above` is dot(normal, p) > offset. */
  splitByPlane(solid: Solid, plane: Plane): { readonly above: Solid; readonly below: Solid };
  /** Connected shells, one solid each; a void comes out as a solid of negative volume. */
  decompose(solid: Solid): Solid[];
  isEmpty(solid: Solid): boolean;
  /** mm3; the kernel's own sum. */
  volume(solid: Solid): number;
  /** mm2 */
  area(solid: Solid): number;
  triangleCount(solid: Solid): number;
  /** Handles of a single shell: ball 0, torus 1. */
  genus(solid: Solid): number;
  bounds(solid: Solid): Box3;
}

export interface KernelOptions {
  /** Where `manifold.wasm` lies, for bundles that move it; Node needs none. */
  readonly locateFile?: (file: string) => string;
}

let loaded: Promise<Kernel> | undefined;

/**
 * The solid kernel, loaded on first use (0.6 MB of WebAssembly) and kept. The options of the
 * first call hold. Kernel: manifold-3d 3.2.1, whose booleans are guaranteed to give closed
 * results up to its tolerance of about 1e-12 of the size.
 * @throws ScantlingError `KERNEL_NOT_LOADED`
 */
export function loadKernel(options: KernelOptions = {}): Promise<Kernel> {
  loaded ??= load(options).catch((error: unknown) => {
    loaded = undefined;
    throw new ScantlingError(
      'KERNEL_NOT_LOADED',
      `The solid kernel could not be loaded (${error instanceof Error ? error.message : String(error)}).`,
      { remedy: 'In a bundle, give locateFile the address of manifold.wasm.' },
    );
  });
  return loaded;
}

async function load({ locateFile }: KernelOptions): Promise<Kernel> {
  const module = (await import('manifold-3d')) as unknown as { default: LoadNative };
  const native = await module.default(locateFile && { locateFile });
  native.setup();
  return {
    flat: flatKernel(native),
    scope: (work) => {
      const live = new Map<Solid, NativeSolid>();
      try {
        return named(native, () => work(solidsOf(native, live)));
      } finally {
        for (const body of live.values()) body.delete();
        live.clear();
      }
    },
  };
}

/** Solids made in an outer scope may be used in an inner one, so one table serves look-ups. */
const bodies = new WeakMap<Solid, { native: NativeSolid; live: Map<Solid, NativeSolid> }>();

function solidsOf(native: Native, live: Map<Solid, NativeSolid>): Solids {
  const own = (body: NativeSolid): Solid => {
    const solid: Solid = { kind: 'solid' };
    live.set(solid, body);
    bodies.set(solid, { native: body, live });
    return solid;
  };
  const at = (solid: Solid): NativeSolid => {
    const entry = bodies.get(solid);
    if (!entry?.live.has(solid)) throw new Error('A solid was used after its scope had ended.');
    return entry.native;
  };
  const placed = (body: NativeSolid, frame: PlaneFrame): Solid => {
    const { u, v, normal: n, origin: o } = frame;
    const turned = body.transform([...u, 0, ...v, 0, ...n, 0, ...o, 1]);
    body.delete();
    return own(turned);
  };

  return {
    meshToSolid: (mesh) => own(nativeFromMesh(native, mesh)),
    solidToMesh: (solid) => meshFromNative(at(solid)),
    box: (size, min) =>
      placed(native.Manifold.cube([...size]), {
        origin: min,
        u: [1, 0, 0],
        v: [0, 1, 0],
        normal: [0, 0, 1],
      }),
    cylinder: (from, axis, radiusMm, lengthMm, sides) =>
      placed(native.Manifold.cylinder(lengthMm, radiusMm, radiusMm, sides), {
        origin: from,
        ...frameOf(axis),
        normal: axis,
      }),
    extrude: (loops, frame, heightMm) => {
      const shape = shapeFrom(native, loops);
      const body = shape.extrude(heightMm);
      shape.delete();
      return placed(body, frame);
    },
    union: (solids) => own(native.Manifold.union(solids.map(at))),
    subtract: (from, tools) => own(native.Manifold.difference([from, ...tools].map(at))),
    intersect: (solids) => own(native.Manifold.intersection(solids.map(at))),
    splitByPlane: (solid, plane) => {
      const [above, below] = at(solid).splitByPlane([...plane.normal], plane.offsetMm);
      return { above: own(above), below: own(below) };
    },
    decompose: (solid) => at(solid).decompose().map(own),
    isEmpty: (solid) => at(solid).isEmpty(),
    volume: (solid) => at(solid).volume(),
    area: (solid) => at(solid).surfaceArea(),
    triangleCount: (solid) => at(solid).numTri(),
    genus: (solid) => at(solid).genus(),
    bounds: (solid) => {
      const { min, max } = at(solid).boundingBox();
      return { min, max };
    },
  };
}

/** The kernel's own errors in our words; anything else passes unchanged. */
function named<T>(native: Native, work: () => T): T {
  try {
    return work();
  } catch (error) {
    const code = nativeCode(native, error);
    if (code === undefined) throw error;
    if (code === 'NotManifold')
      throw new ScantlingError(
        'NOT_CLOSED',
        'The surface is not closed and consistently oriented, so it bounds no solid.',
        { remedy: 'Repair the mesh first; the health report names the open edges.' },
      );
    if (code === 'NonFiniteVertex')
      throw new ScantlingError('NON_FINITE', 'A vertex of the mesh is not a finite number.');
    if (code === 'WasmFailed') {
      // A kernel that ran out of memory is in no known state: the next call loads a fresh one.
      loaded = undefined;
      throw new ScantlingError(
        'KERNEL_FAILED',
        'The solid kernel failed, probably out of memory.',
        {
          remedy: 'Try with a coarser mesh, or fewer parts at once.',
        },
      );
    }
    throw new ScantlingError('KERNEL_FAILED', `The solid kernel refused the input (${code}).`);
  }
}

function nativeCode(native: Native, error: unknown): string | undefined {
  if (error instanceof native.ManifoldError) return String((error as { code?: unknown }).code);
  // Emscripten's abort and the engine's traps.
  return error instanceof Error && error.name === 'RuntimeError' ? 'WasmFailed' : undefined;
}
