import type { Mesh } from '../mesh/index.ts';
import type { Solid, Solids } from '../solid/index.ts';
import { shellRoles, type Shell } from './shellRoles.ts';
import { topologyOf } from './topology.ts';

/**
 * One solid from a mesh of closed shells, by sign: every body less its own voids, and all of
 * these united. So overlaps count once, a hollow stays hollow, and a peg in a hollow stays there.
 * (Uniting the shells themselves would fill the hollows.)
 * @throws ScantlingError `NOT_CLOSED` when a shell is open or the facets do not agree
 */
export function solidFromShells(
  s: Solids,
  mesh: Mesh,
  shells: readonly Shell[] = shellRoles(topologyOf(mesh)),
): Solid {
  const bodies = shells.flatMap((shell, i) => (shell.role === 'body' ? [{ shell, i }] : []));
  if (bodies.length <= 1) return s.meshToSolid(mesh);
  return s.union(
    bodies.map(({ shell, i }) => {
      const voids = shells.filter((other) => other.role === 'void' && other.within === i);
      return s.meshToSolid(part(mesh, [shell, ...voids]));
    }),
  );
}

/** The facets of some shells with only the vertices they name. */
function part({ positions: p, triangles: t }: Mesh, shells: readonly Shell[]): Mesh {
  const number = new Map<number, number>();
  const positions: number[] = [];
  const triangles: number[] = [];
  for (const { facets } of shells)
    for (const f of facets)
      for (let i = 3 * f; i < 3 * f + 3; i++) {
        const v = t[i] as number;
        let n = number.get(v);
        if (n === undefined) {
          n = number.size;
          number.set(v, n);
          positions.push(p[3 * v] as number, p[3 * v + 1] as number, p[3 * v + 2] as number);
        }
        triangles.push(n);
      }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}
