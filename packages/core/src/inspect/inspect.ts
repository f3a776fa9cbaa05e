import { checkCancelled, type Context } from '../context.ts';
import type { Vec3 } from '../math/index.ts';
import { massProperties, type Mesh } from '../mesh/index.ts';
import { cleanKnown, type Cleaned } from './clean.ts';
import { degenerateFacets } from './degenerate.ts';
import { duplicateFacets } from './duplicate.ts';
import { flippedEdges } from './flipped.ts';
import { crowdedEdges, type CrowdedEdge } from './nonManifold.ts';
import { openRims, type Rim } from './openEdges.ts';
import { overlappingShells } from './overlap.ts';
import type { FindingCode, Health } from './schema.ts';
import { shellRoles } from './shellRoles.ts';
import { edgeMiddle, facetMiddle } from './edges.ts';
import { topologyOf } from './topology.ts';

/** Places named per defect: enough to go and look, few enough to read. */
const PLACES = 20;

/**
 * The health of one part's mesh: every kind of defect with its count and places, the measures,
 * and a verdict. Counts are of the mesh as given. Measures are taken after leaving out repeated
 * facets and turning flipped ones (`measuredAfter` says how many); where the surface still does
 * not close, volume, centre and inertia are null: an open mesh has none. No vertex is moved; see
 * `repairForSolid` for that.
 *
 * @param context `signal` is looked at between the checks
 * @example inspectPart(boxMesh([10, 10, 10])).verdict // 'sound'
 * Cost: O(facets) for a mesh of one shell, some 0.5 s per million facets; shells with
 * overlapping boxes add samples of one against the other, up to a fixed amount of work.
 */
export function inspectPart(mesh: Mesh, context?: Context): Health {
  const topology = topologyOf(mesh);
  const rims = openRims(topology);
  const crowded = crowdedEdges(topology);
  const flipped = flippedEdges(topology);
  checkCancelled(context);
  const degenerate = degenerateFacets(mesh);
  const duplicate = duplicateFacets(topology);
  const cleaned = cleanKnown(topology, degenerate.collapsed, duplicate.same, flipped.length);
  checkCancelled(context);
  const mass = massProperties(cleaned.topology.mesh);
  const shells = shellRoles(cleaned.topology, mass);
  const overlaps = overlappingShells(cleaned.topology.mesh, shells);
  const asGiven = cleaned.topology === topology;
  const closed =
    shells.length > 0 &&
    encloses(
      cleaned,
      asGiven ? rims : openRims(cleaned.topology),
      asGiven ? crowded : crowdedEdges(cleaned.topology),
    );

  const role = (name: string): number => shells.filter((s) => s.role === name).length;
  const openCount = rims.reduce((sum, rim) => sum + rim.edges, 0);
  const found: Record<FindingCode, number> = {
    'open-edges': openCount,
    'non-manifold-edges': crowded.length,
    'flipped-neighbours': flipped.length,
    'one-sided': cleaned.conflicts,
    'collapsed-facets': degenerate.collapsed.length,
    'flat-facets': degenerate.flat.length,
    'duplicate-facets': duplicate.same.length + duplicate.opposite.length,
    'inside-out-shells': role('insideOut'),
    'overlapping-shells': overlaps.found.length,
  };
  const findings = (Object.keys(found) as FindingCode[]).filter((code) => found[code] > 0);
  const edgePlaces = (edges: readonly number[]): Point[] =>
    edges.slice(0, PLACES).map((e) => point(edgeMiddle(mesh, e)));
  const facetPlaces = (facets: readonly number[]): Point[] =>
    facets.slice(0, PLACES).map((f) => point(facetMiddle(mesh, f)));

  return {
    verdict: !closed ? 'open' : findings.length > 0 ? 'usable' : 'sound',
    findings,
    triangles: mesh.triangles.length / 3,
    vertices: namedVertices(mesh),
    shells: {
      count: shells.length,
      bodies: role('body'),
      voids: role('void'),
      insideOut: role('insideOut'),
      open: role('open'),
      overlapping: overlaps.found.length,
      overlapsComplete: overlaps.complete,
    },
    openEdges: {
      count: openCount,
      rims: rims.length,
      longest: rims.slice(0, PLACES).map((rim) => ({
        edges: rim.edges,
        lengthMm: rim.lengthMm,
        centreMm: point(rim.centreMm),
        closed: rim.closed,
      })),
    },
    nonManifoldEdges: { count: crowded.length, at: edgePlaces(crowded.map((c) => c.edge)) },
    flippedNeighbours: { count: flipped.length, at: edgePlaces(flipped) },
    degenerateFacets: {
      collapsed: degenerate.collapsed.length,
      flat: degenerate.flat.length,
      at: facetPlaces([...degenerate.collapsed, ...degenerate.flat]),
    },
    duplicateFacets: {
      same: duplicate.same.length,
      opposite: duplicate.opposite.length,
      at: facetPlaces([...duplicate.same, ...duplicate.opposite]),
    },
    measuredAfter: {
      dropped: cleaned.collapsed + cleaned.duplicates,
      turned: cleaned.turned,
    },
    volumeMm3: closed ? mass.volumeMm3 : null,
    areaMm2: mass.areaMm2,
    centreMm: closed ? point(mass.centreMm) : null,
    inertiaMm5: closed ? ([...mass.inertiaMm5] as Health['inertiaMm5']) : null,
    selfIntersections: 'not checked',
  };
}

type Point = [number, number, number];
const point = ([x, y, z]: Vec3): Point => [x, y, z];

/** Whether every edge is met as often one way as the other, which is what a closed surface is. */
const encloses = (
  { conflicts }: Cleaned,
  rims: readonly Rim[],
  crowded: readonly CrowdedEdge[],
): boolean => conflicts === 0 && rims.length === 0 && crowded.every((edge) => edge.surplus === 0);

function namedVertices({ positions, triangles }: Mesh): number {
  const named = new Uint8Array(positions.length / 3);
  let count = 0;
  for (let i = 0; i < triangles.length; i++) {
    const v = triangles[i] as number;
    if (named[v] === 1) continue;
    named[v] = 1;
    count++;
  }
  return count;
}
