import { checkCancelled, type Context } from '../context.ts';
import { ScantlingError } from '../errors.ts';
import { closeSeams, flipTriangles, massProperties, type Mesh } from '../mesh/index.ts';
import { loadKernel, type Kernel } from '../solid/index.ts';
import { solidFromShells } from './assemble.ts';
import { cleanFacets } from './clean.ts';
import { fillHoles } from './holes.ts';
import { bodiesMayMeet } from './overlap.ts';
import { shellRoles, type Shell } from './shellRoles.ts';
import { topologyOf } from './topology.ts';

/** One thing that was done to a mesh, with its size. Nothing else was changed. */
export type RepairStep =
  | {
      readonly step: 'weld';
      readonly toleranceMm: number;
      readonly verticesMerged: number;
      readonly openEdgesClosed: number;
    }
  | { readonly step: 'drop-collapsed'; readonly facets: number }
  | { readonly step: 'drop-duplicates'; readonly facets: number }
  | { readonly step: 'turn-facets'; readonly facets: number }
  | {
      readonly step: 'fill-holes';
      readonly flat: number;
      readonly small: number;
      readonly facetsAdded: number;
      readonly areaAddedMm2: number;
      readonly longestRimMm: number;
    }
  | { readonly step: 'turn-shells'; readonly shells: number; readonly facets: number }
  | {
      readonly step: 'unite-shells';
      readonly bodies: number;
      /** Signed sums before, where overlaps count twice, and after, mm3. */
      readonly volumeBeforeMm3: number;
      readonly volumeAfterMm3: number;
    };

/** Why no solid could be made. */
export type Refusal =
  | { readonly reason: 'no-facets' }
  | {
      readonly reason: 'holes';
      readonly rims: number;
      readonly openEdges: number;
      readonly longestRimMm: number;
    }
  | { readonly reason: 'one-sided'; readonly edges: number }
  | { readonly reason: 'not-manifold'; readonly message: string };

export interface Repair {
  /** Closed and outward when `refusal` is null; otherwise as far as the steps went. */
  readonly mesh: Mesh;
  readonly steps: readonly RepairStep[];
  readonly refusal: Refusal | null;
}

/**
 * What can honestly be repaired so that the solid kernel takes the mesh, in this order: seams
 * open by rounding are welded, facets that stand for nothing dropped, flipped facets turned,
 * flat and small holes closed, inside-out bodies turned, overlapping bodies united. Each step
 * done is reported with its size; a mesh that needs none comes back unchanged, the same object.
 * What would be guessing is refused: large holes that are not flat, one-sided surfaces. A single
 * shell that crosses itself is not looked for and counts twice where it does.
 * @throws ScantlingError `CANCELLED`, `KERNEL_NOT_LOADED`, `KERNEL_FAILED`
 */
export async function repairForSolid(mesh: Mesh, context?: Context): Promise<Repair> {
  const steps: RepairStep[] = [];
  if (mesh.triangles.length === 0) return { mesh, steps, refusal: { reason: 'no-facets' } };
  let at = mesh;

  const weld = closeSeams(at);
  if (weld) {
    at = weld.mesh;
    steps.push({
      step: 'weld',
      toleranceMm: weld.toleranceMm,
      verticesMerged: weld.verticesMerged,
      openEdgesClosed: weld.openEdgesBefore,
    });
  }
  checkCancelled(context);

  const cleaned = cleanFacets(topologyOf(at));
  at = cleaned.topology.mesh;
  if (cleaned.collapsed > 0) steps.push({ step: 'drop-collapsed', facets: cleaned.collapsed });
  if (cleaned.duplicates > 0) steps.push({ step: 'drop-duplicates', facets: cleaned.duplicates });
  if (cleaned.turned > 0) steps.push({ step: 'turn-facets', facets: cleaned.turned });
  if (cleaned.conflicts > 0)
    return { mesh: at, steps, refusal: { reason: 'one-sided', edges: cleaned.conflicts } };
  checkCancelled(context);

  const filled = await fillHoles(at);
  if (filled.facetsAdded > 0) {
    at = filled.mesh;
    steps.push({
      step: 'fill-holes',
      flat: filled.flatHoles,
      small: filled.smallHoles,
      facetsAdded: filled.facetsAdded,
      areaAddedMm2: filled.areaAddedMm2,
      longestRimMm: filled.longestRimMm,
    });
  }
  if (filled.left.length > 0)
    return {
      mesh: at,
      steps,
      refusal: {
        reason: 'holes',
        rims: filled.left.length,
        openEdges: filled.left.reduce((sum, rim) => sum + rim.edges, 0),
        longestRimMm: Math.max(...filled.left.map((rim) => rim.lengthMm)),
      },
    };
  checkCancelled(context);

  let shells = shellRoles(topologyOf(at));
  const insideOut = shells.filter((shell) => shell.role === 'insideOut');
  if (insideOut.length > 0) {
    at = turnedShells(at, insideOut);
    shells = shellRoles(topologyOf(at));
    const facets = insideOut.reduce((sum, shell) => sum + shell.facets.length, 0);
    steps.push({ step: 'turn-shells', shells: insideOut.length, facets });
  }
  const kernel = await loadKernel();
  checkCancelled(context);
  return united(kernel, at, shells, steps);
}

/** The last step, and the proof: the kernel makes a solid of the mesh or it does not. */
function united(
  kernel: Kernel,
  mesh: Mesh,
  shells: readonly Shell[],
  steps: readonly RepairStep[],
): Repair {
  try {
    return kernel.scope((s) => {
      const solid = solidFromShells(s, mesh, shells);
      // Asked for its volume, the kernel builds the solid in earnest.
      const volumeAfterMm3 = s.volume(solid);
      // Not left to the samples of the overlap check: the kernel's volume tells for certain.
      if (!bodiesMayMeet(shells)) return { mesh, steps, refusal: null };
      const volumeBeforeMm3 = massProperties(mesh).volumeMm3;
      const same = Math.abs(volumeAfterMm3 - volumeBeforeMm3) <= 1e-9 * Math.abs(volumeBeforeMm3);
      if (same) return { mesh, steps, refusal: null };
      const step: RepairStep = {
        step: 'unite-shells',
        bodies: shells.filter((shell) => shell.role === 'body').length,
        volumeBeforeMm3,
        volumeAfterMm3,
      };
      return { mesh: s.solidToMesh(solid), steps: [...steps, step], refusal: null };
    });
  } catch (error) {
    if (!(error instanceof ScantlingError && error.code === 'NOT_CLOSED')) throw error;
    return { mesh, steps, refusal: { reason: 'not-manifold', message: error.message } };
  }
}

function turnedShells({ positions, triangles }: Mesh, shells: readonly Shell[]): Mesh {
  const out = triangles.slice();
  for (const { facets } of shells)
    for (const f of facets) out.set(flipTriangles(triangles.slice(3 * f, 3 * f + 3)), 3 * f);
  return { positions, triangles: out };
}
