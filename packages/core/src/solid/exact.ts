import type { Mesh } from '../mesh/index.ts';
import type { Native, NativeSolid } from './native.ts';

/**
 * Between our 64-bit positions and the kernel. Inside, the kernel computes in 64 bits, but its
 * JavaScript meshes carry 32-bit ones (measured on a 100 mm torus cut in two: 1.2e-10 of the
 * volume lost, against none by the way taken here). `warp` hands out and takes back each vertex
 * in 64 bits, so the rounding is undone on the way in and avoided on the way out.
 */
export function nativeFromMesh(native: Native, mesh: Mesh): NativeSolid {
  const rounded = Float32Array.from(mesh.positions);
  const solid = new native.Manifold(
    new native.Mesh({ numProp: 3, vertProperties: rounded, triVerts: mesh.triangles }),
  );
  if (rounded.every((x, i) => x === mesh.positions[i])) return solid;
  const find = indexByRounded(rounded);
  try {
    return solid.warp((vertex) => {
      const i = find(vertex[0], vertex[1], vertex[2]);
      if (i < 0) return;
      vertex[0] = mesh.positions[3 * i] as number;
      vertex[1] = mesh.positions[3 * i + 1] as number;
      vertex[2] = mesh.positions[3 * i + 2] as number;
    });
  } finally {
    solid.delete();
  }
}

/** The kernel reorders vertices, so they are found again by their rounded coordinates. */
function indexByRounded(xyz: Float32Array): (x: number, y: number, z: number) => number {
  const count = xyz.length / 3;
  let size = 8;
  while (size < 2 * count) size *= 2;
  const table = new Int32Array(size).fill(-1);
  // Two vertices that round to the same place can't be told apart: both keep the rounded one.
  const clash = new Uint8Array(count);
  const bits = new Uint32Array(xyz.buffer, xyz.byteOffset, xyz.length);
  const probe = new Float32Array(3);
  const probeBits = new Uint32Array(probe.buffer);
  const slotOf = (a: number, b: number, c: number): number => {
    let h = Math.imul(a, 0x9e3779b1) ^ Math.imul(b, 0x85ebca6b) ^ Math.imul(c, 0xc2b2ae35);
    h = Math.imul(h ^ (h >>> 15), 0x2c1b3c6d);
    return (h ^ (h >>> 13)) & (size - 1);
  };
  const seek = (a: number, b: number, c: number): number => {
    let slot = slotOf(a, b, c);
    for (let i = table[slot] as number; i >= 0; i = table[slot] as number) {
      if (bits[3 * i] === a && bits[3 * i + 1] === b && bits[3 * i + 2] === c) break;
      slot = (slot + 1) & (size - 1);
    }
    return slot;
  };
  for (let i = 0; i < count; i++) {
    for (let k = 3 * i; k < 3 * i + 3; k++) if (xyz[k] === 0) xyz[k] = 0; // -0 and 0 are one place
    const slot = seek(bits[3 * i] as number, bits[3 * i + 1] as number, bits[3 * i + 2] as number);
    const there = table[slot] as number;
    if (there < 0) table[slot] = i;
    else clash[there] = 1;
  }
  return (x, y, z) => {
    probe[0] = x === 0 ? 0 : x;
    probe[1] = y === 0 ? 0 : y;
    probe[2] = z === 0 ? 0 : z;
    const [a, b, c] = probeBits as unknown as [number, number, number];
    const i = table[seek(a, b, c)] as number;
    return i >= 0 && clash[i] === 0 ? i : -1;
  };
}

export function meshFromNative(solid: NativeSolid): Mesh {
  const flat = solid.getMesh();
  const stride = flat.numProp;
  const count = flat.vertProperties.length / stride;
  const positions = new Float64Array(3 * count);
  let n = 0;
  let sameOrder = true;
  const copy = solid.warp((vertex) => {
    // Proof that the two walks go in the same order: each vertex rounds to the one exported.
    for (let k = 0; k < 3; k++)
      if (Math.fround(vertex[k] as number) !== flat.vertProperties[n * stride + k])
        sameOrder = false;
    positions.set(vertex, 3 * n++);
  });
  copy.delete();
  if (n !== count || !sameOrder)
    for (let i = 0; i < count; i++)
      for (let k = 0; k < 3; k++)
        positions[3 * i + k] = flat.vertProperties[i * stride + k] as number;
  return { positions, triangles: Uint32Array.from(flat.triVerts) };
}
