import { ScantlingError } from '../errors.ts';
import { convexHull, type Hull } from '../hull/index.ts';
import { symmetricAxes, type Axes, type Vec3 } from '../math/index.ts';
import {
  edgeNeighbours,
  flipTriangles,
  massProperties,
  runsAgainst,
  shells,
  type Mesh,
} from '../mesh/index.ts';
import { cleanFlags, type CleanFaces } from './clean.ts';
import { bodyOf, facetsOf, type Body } from './turned.ts';
import { vertexLinks, type VertexLinks } from './islands.ts';
import { proxyOf } from './proxy.ts';

/** A part made ready for judging its ways up. */
export interface Part {
  readonly body: Body;
  /** Coarser twins: for ranking many directions, and for refining a few. */
  readonly rough: Body;
  readonly medium: Body;
  readonly links: VertexLinks;
  /** Shell per facet; null for a single shell. */
  readonly shellOf: Int32Array | null;
  readonly hull: Hull;
  readonly hullVolumeMm3: number;
  readonly closed: boolean;
  readonly volumeMm3: number | null;
  readonly areaMm2: number;
  /** Centre of mass, or the hull's where the mesh is open. */
  readonly centre: Vec3;
  /** Principal axes of the hull: what is even about them turns with the part. */
  readonly axes: Axes;
  /** Diameter of the ball about the hull's centre that holds it, mm. */
  readonly extentMm: number;
  readonly cleanAreaMm2: number;
}

const ROUGH_FACETS = 4000;
const QUICK_FACETS = 3000;
const MEDIUM_FACETS = 30_000;

/** @throws ScantlingError `NO_FACETS` for an empty mesh, `FLAT_PART` for one without depth */
export function preparePart(given: Mesh, quick: boolean, cleanFaces?: CleanFaces): Part {
  if (given.triangles.length === 0)
    throw new ScantlingError('NO_FACETS', 'The part has no facets: there is nothing to turn.');
  const hull = convexHull(given.positions);
  if (hull.rank < 3)
    throw new ScantlingError('FLAT_PART', 'The part is flat: it has no way up.', {
      remedy: 'Check the file: a printable part has depth.',
    });
  const neighbours = edgeNeighbours(given);
  const closed = isClosed(given, neighbours);
  const { count, labels } = shells(given, neighbours);
  const mass = massProperties(given);
  // A mesh turned inside out is the same part; its facets are read from the other side.
  const mesh =
    closed && mass.volumeMm3 < 0
      ? { positions: given.positions, triangles: flipTriangles(given.triangles) }
      : given;
  const ofHull = massProperties(hull);
  const facets = facetsOf(mesh);
  const flags = cleanFaces ? cleanFlags(mesh, facets, cleanFaces) : null;
  const body = bodyOf(mesh, closed, flags, facets);
  const solid = closed && mass.volumeMm3 !== 0;
  const twin = (of: Body, target: number): Body => {
    const { mesh: coarse, from } = proxyOf(of.mesh, mass.areaMm2, target);
    if (from === null) return of;
    return bodyOf(coarse, closed, of.clean && Uint8Array.from(from, (f) => of.clean?.[f] ?? 0));
  };
  const medium = twin(body, quick ? QUICK_FACETS : MEDIUM_FACETS);
  let cleanAreaMm2 = 0;
  flags?.forEach((is, f) => (cleanAreaMm2 += is * (body.facets.areasMm2[f] as number)));
  return {
    body,
    medium,
    rough: twin(medium, quick ? QUICK_FACETS : ROUGH_FACETS),
    links: vertexLinks(mesh),
    shellOf: count > 1 ? labels : null,
    hull,
    hullVolumeMm3: ofHull.volumeMm3,
    closed,
    volumeMm3: solid ? Math.abs(mass.volumeMm3) : null,
    areaMm2: mass.areaMm2,
    centre: solid ? mass.centreMm : ofHull.centreMm,
    axes: symmetricAxes(ofHull.inertiaMm5),
    extentMm: extentOf(hull, ofHull.centreMm),
    cleanAreaMm2,
  };
}

/** Every edge has two facets that run along it in opposite orders. */
function isClosed(mesh: Mesh, neighbours: Int32Array): boolean {
  const { triangles: t } = mesh;
  for (let e = 0; e < t.length; e++) {
    const other = neighbours[e] as number;
    if (other === -3) continue;
    if (other === -1) return false;
    if (other < 0) continue;
    const a = t[e] as number;
    const b = t[e % 3 === 2 ? e - 2 : e + 1] as number;
    if (!runsAgainst(t, other, a, b)) return false;
  }
  return true;
}

/** Twice the way from the hull's centre to its farthest vertex: a size that no turn changes. */
function extentOf(hull: Hull, centre: Vec3): number {
  const p = hull.positions;
  let most = 0;
  for (let i = 0; i < p.length; i += 3)
    most = Math.max(
      most,
      Math.hypot(
        (p[i] as number) - centre[0],
        (p[i + 1] as number) - centre[1],
        (p[i + 2] as number) - centre[2],
      ),
    );
  return 2 * most;
}
