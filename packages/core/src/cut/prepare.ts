import type { Context } from '../context.ts';
import { repairForSolid, type Refusal, type RepairStep } from '../inspect/index.ts';
import { edgeNeighbours, massProperties, shells, type Mesh } from '../mesh/index.ts';
import { surfaceOf } from './check.ts';

/** A part made ready for the solid kernel, with what that took, or why it cannot be done. */
export interface Prepared {
  /** Plan joints on this mesh: it is the one that is cut. */
  readonly mesh: Mesh;
  readonly repairs: readonly string[];
  /** Null when the mesh bounds a solid. */
  readonly because: string | null;
}

/**
 * Repairs what can honestly be repaired (see `repairForSolid`) and words it for people.
 * @throws ScantlingError `CANCELLED`, `KERNEL_NOT_LOADED`, `KERNEL_FAILED`
 */
export async function prepareForCut(mesh: Mesh, context?: Context): Promise<Prepared> {
  if (needsNothing(mesh)) return { mesh, repairs: [], because: null };
  const { mesh: mended, steps, refusal } = await repairForSolid(mesh, context);
  return {
    mesh: mended,
    repairs: steps.map(repairWords),
    because: refusal && refusalWords(refusal),
  };
}

/**
 * One closed shell, all facets outwards: no step of a repair would change it, and the kernel is
 * spared a solid made only to look. A facet without a neighbour (a collapsed one) is not that.
 */
function needsNothing(mesh: Mesh): boolean {
  const neighbours = edgeNeighbours(mesh);
  if (neighbours.some((n) => n < 0) || shells(mesh, neighbours).count !== 1) return false;
  return surfaceOf(mesh, neighbours).oriented && massProperties(mesh).volumeMm3 > 0;
}

const count = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`;
const rounded = (x: number): string => Number(x.toPrecision(4)).toString();

function repairWords(s: RepairStep): string {
  switch (s.step) {
    case 'weld':
      return `${count(s.openEdgesClosed, 'open edge')} closed by joining vertices within ${rounded(s.toleranceMm)} mm`;
    case 'drop-collapsed':
      return `${count(s.facets, 'facet')} without area dropped`;
    case 'drop-duplicates':
      return `${count(s.facets, 'repeated facet')} dropped`;
    case 'turn-facets':
      return `${count(s.facets, 'flipped facet')} turned over`;
    case 'fill-holes':
      return `${count(s.flat + s.small, 'hole')} closed with ${rounded(s.areaAddedMm2)} mm2 of new surface`;
    case 'turn-shells':
      return `${count(s.shells, 'inside-out shell')} turned over`;
    case 'unite-shells':
      return `${count(s.bodies, 'overlapping body', 'overlapping bodies')} united, volume ${rounded(s.volumeBeforeMm3)} to ${rounded(s.volumeAfterMm3)} mm3`;
  }
}

function refusalWords(r: Refusal): string {
  switch (r.reason) {
    case 'no-facets':
      return 'the part has no facets';
    case 'holes':
      return `its surface is open: ${count(r.rims, 'hole')} with ${count(r.openEdges, 'open edge')}, the longest rim ${rounded(r.longestRimMm)} mm, could only be closed by guessing`;
    case 'one-sided':
      return `its surface has only one side (${count(r.edges, 'edge')} where no facet can face outwards)`;
    case 'not-manifold':
      return 'three or more facets meet at an edge, so its surface bounds no solid';
  }
}
