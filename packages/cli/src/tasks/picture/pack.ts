import { deflateSync, inflateSync } from 'node:zlib';
import { base64, boundsOf, joinMeshes, simplifyMesh, type Mesh } from '@scantling/core';
import type { Body } from './explode.ts';

/** Bodies for the page's own viewer; see `src/page/turn.ts` for the other end. */
export interface Packed {
  /** Deflated (RFC 1950), base64: per body positions as uint16 x, y, z, then uint32 corners. */
  readonly data: string;
  /** Lower corner and step of the positions: mm = min + step x number. */
  readonly min: readonly number[];
  readonly step: number;
  readonly bodies: readonly { readonly vertices: number; readonly triangles: number; readonly away: readonly number[] }[]; // prettier-ignore
  readonly shown: number;
  readonly of: number;
}

/**
 * Makes bodies coarse to a budget of triangles in all and packs them.
 * @param original what they were made from, for the number of its triangles
 */
export function packBodies(bodies: readonly Body[], budget: number, original?: Mesh): Packed {
  const of = bodies.reduce((sum, b) => sum + b.mesh.triangles.length / 3, 0);
  const coarse = bodies.map(({ mesh, away }) => ({
    mesh: simplifyMesh(mesh, Math.max(300, Math.floor((budget * mesh.triangles.length) / 3 / of))),
    away,
  }));
  const box = boundsOf(joinMeshes(coarse.map((b) => b.mesh)).positions);
  const step = Math.max(...box.max.map((x, i) => x - (box.min[i] as number)), 1e-9) / 65535;
  const parts = coarse.flatMap(({ mesh }) => [positionsOf(mesh, box.min, step), cornersOf(mesh)]);
  const data = base64(deflateSync(Buffer.concat(parts), { level: 9 }));
  return {
    data,
    min: [...box.min],
    step,
    bodies: coarse.map(({ mesh, away }) => ({
      vertices: mesh.positions.length / 3,
      triangles: mesh.triangles.length / 3,
      away: away.map((x) => Math.round(x * 100) / 100),
    })),
    shown: coarse.reduce((sum, b) => sum + b.mesh.triangles.length / 3, 0),
    of: original ? original.triangles.length / 3 : of,
  };
}

/** All x, then all y, then all z: neighbours are alike, which deflates better. */
function positionsOf(mesh: Mesh, min: readonly number[], step: number): Uint8Array {
  const n = mesh.positions.length / 3;
  const out = new Uint16Array(3 * n);
  for (let i = 0; i < n; i++)
    for (let k = 0; k < 3; k++)
      out[k * n + i] = Math.round(((mesh.positions[3 * i + k] as number) - (min[k] as number)) / step); // prettier-ignore
  return new Uint8Array(out.buffer);
}

/** Corners as steps from the corner before, zigzag: small numbers deflate better. */
function cornersOf(mesh: Mesh): Uint8Array {
  let last = 0;
  const out = mesh.triangles.map((v) => {
    const d = v - last;
    last = v;
    return d < 0 ? -2 * d - 1 : 2 * d;
  });
  return new Uint8Array(out.buffer, out.byteOffset, out.byteLength);
}

/** The bodies again, each where it was before it moved apart. */
export function unpackBodies({ data, min, step, bodies }: Packed): Mesh {
  const bytes = inflateSync(Buffer.from(data, 'base64'));
  let at = 0;
  const meshes = bodies.map(({ vertices: n, triangles: m }): Mesh => {
    const positions = new Float64Array(3 * n);
    for (let k = 0; k < 3; k++)
      for (let i = 0; i < n; i++, at += 2)
        positions[3 * i + k] = (min[k] ?? 0) + step * bytes.readUInt16LE(at);
    const triangles = new Uint32Array(3 * m);
    let last = 0;
    for (let i = 0; i < triangles.length; i++, at += 4) {
      const z = bytes.readUInt32LE(at);
      last += z & 1 ? -((z + 1) >>> 1) : z >>> 1;
      triangles[i] = last;
    }
    return { positions, triangles };
  });
  return joinMeshes(meshes);
}
