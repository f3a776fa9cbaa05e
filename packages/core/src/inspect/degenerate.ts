import type { Mesh } from '../mesh/index.ts';

/**
 * A facet counts as flat when its height over its longest side is under this share of that side:
 * some 4 bits above what float32 coordinates can tell from zero.
 */
export const FLAT_FACET = 1e-6;

export interface DegenerateFacets {
  /** Facets that name a vertex twice. */
  readonly collapsed: readonly number[];
  /** Facets of three vertices in a line: no area, but they join their neighbours. */
  readonly flat: readonly number[];
}

/** Facets without area, in file order. */
export function degenerateFacets({ positions: p, triangles: t }: Mesh): DegenerateFacets {
  const collapsed: number[] = [];
  const flat: number[] = [];
  for (let f = 0; f < t.length; f += 3) {
    const a = 3 * (t[f] as number);
    const b = 3 * (t[f + 1] as number);
    const c = 3 * (t[f + 2] as number);
    if (a === b || b === c || c === a) {
      collapsed.push(f / 3);
      continue;
    }
    const ux = (p[b] as number) - (p[a] as number), uy = (p[b + 1] as number) - (p[a + 1] as number), uz = (p[b + 2] as number) - (p[a + 2] as number); // prettier-ignore
    const wx = (p[c] as number) - (p[a] as number), wy = (p[c + 1] as number) - (p[a + 1] as number), wz = (p[c + 2] as number) - (p[a + 2] as number); // prettier-ignore
    const nx = uy * wz - uz * wy;
    const ny = uz * wx - ux * wz;
    const nz = ux * wy - uy * wx;
    const vx = wx - ux, vy = wy - uy, vz = wz - uz; // prettier-ignore
    const longest = Math.max(ux * ux + uy * uy + uz * uz, wx * wx + wy * wy + wz * wz, vx * vx + vy * vy + vz * vz); // prettier-ignore
    // Twice the area is longest side x height.
    if (Math.sqrt(nx * nx + ny * ny + nz * nz) <= FLAT_FACET * longest) flat.push(f / 3);
  }
  return { collapsed, flat };
}
