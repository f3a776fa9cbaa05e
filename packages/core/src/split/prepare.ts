import type { Context } from '../context.ts';
import type { Envelope } from '../envelope/index.ts';
import { ScantlingError } from '../errors.ts';
import { unit, type Vec3 } from '../math/index.ts';
import { edgeNeighbours, flipTriangles, NON_MANIFOLD, OPEN, runsAgainst, type Mesh } from '../mesh/index.ts'; // prettier-ignore
import { bodyFrom, bodyVolume, countBodies, skinPoints, type Body } from './body.ts';
import { leastPieces, type Bound } from './bound.ts';
import { candidateDirections } from './directions.ts';
import { smallFeatures } from './features.ts';
import { supportError } from './frames.ts';
import { Judge, withAllowance } from './judge.ts';
import type { KeepZone } from './keep.ts';
import { handedness, reflected, reflectMesh, reflectPlane, reflectZone } from './reflect.ts';
import type { Task } from './leaf.ts';
import type { Part } from './measure.ts';
import { inOrder } from './ordered.ts';
import { splitSettingsSchema, type SplitSettings } from './settings.ts';
import { thinMesh } from './thin.ts';

export interface SplitOptions extends Context {
  /** Name of the part in the result. Default `part`. */
  readonly part?: string;
  readonly settings?: SplitSettings;
  /** Places no cut may pass through. */
  readonly keep?: readonly KeepZone[];
  /** Direction from the part to the viewer: seams on that side cost more. */
  readonly seamFrom?: Vec3;
  /** Plane normals allowed; default: the part's axes, box, principal axes, faces, mirror planes. */
  readonly directions?: readonly Vec3[];
  /** Planes given by hand, carried out in this order on every piece they meet. */
  readonly planes?: readonly { readonly normal: Vec3; readonly offsetMm: number }[];
  /** Whether given planes may be moved a little and cuts added where pieces do not fit. */
  readonly improve?: boolean;
  /** Pieces wanted at least; 2 splits a part that fits. Default: as few as will fit. */
  readonly pieces?: number;
  /**
   * The part of the other side, mm, such as the left one of a right: where it is the mirror image in all
   * but its mesh, both are searched and get the plans that are best for both. Not with `planes`, `keep`
   * or `directions`, which say nothing of the other part.
   */
  readonly twin?: Mesh;
  /** How many plans that really differ are given. Default 3. */
  readonly alternatives?: number;
}

export interface Prepared {
  readonly part: Part;
  /** The same, coarser and reflected by `signs`, for the search. */
  readonly thin: Part;
  readonly signs: Vec3;
  /** The part itself, reflected by `signs`, in an order of its own. */
  readonly form: Mesh;
  /** Certifies pieces against the envelopes as given, allowance taken off. */
  readonly judge: Judge;
  /** The task on the coarser part: its judge keeps the coarsening's error free as well. */
  readonly task: Task;
  /** The same in the part's own coordinates, for measuring. */
  readonly partTask: Task;
  readonly remarks: readonly string[];
  readonly bound: Bound;
}

const SKETCH_FACETS = 1500;
const ROUGH_FACETS = 700;

/**
 * @throws ScantlingError `EMPTY_MESH`, `NO_ENVELOPE`, `BAD_DIRECTION`
 */
export function prepareSplit(
  given: Mesh,
  envelopes: readonly Envelope[],
  options: SplitOptions,
): Prepared {
  if (given.triangles.length === 0)
    throw new ScantlingError('EMPTY_MESH', 'The part has no facets to split.');
  if (envelopes.length === 0)
    throw new ScantlingError('NO_ENVELOPE', 'No machine was named to split for.', {
      remedy: 'Name a machine of the workshop file, or give --envelope WxDxH.',
    });
  const settings = options.settings ?? splitSettingsSchema.parse({});
  const remarks: string[] = [];
  const neighbours = edgeNeighbours(given);
  const closed = isClosed(given, neighbours);
  let mesh = given;
  if (!closed)
    remarks.push(
      'The mesh is open: planes are proposed, but volumes, areas and sound pieces cannot be promised.',
    );
  else if (bodyVolume(bodyFrom(given)) < 0) {
    mesh = { positions: given.positions, triangles: flipTriangles(given.triangles) };
    remarks.push('The facets face inwards; the plan takes them turned over.');
  }
  const part: Part = { mesh, body: bodyFrom(mesh), closed, exact: true };
  const signs = handedness(mesh, closed);
  const form = inOrder(reflectMesh(mesh, signs));
  const coarse = thinMesh(form, settings.searchFacets);
  const thin: Part = { mesh: coarse, body: bodyFrom(coarse), closed, exact: coarse === form };
  const skin = skinPoints(bodyFrom(form));
  const errorMm = coarse === form ? 0 : supportError(skin, coarse.positions);
  const room = envelopes.map((e) => withAllowance(e, settings.allowanceMm));
  const judge = new Judge(room, options.signal);
  const searchJudge =
    errorMm > 0 ? new Judge(room.map((e) => withAllowance(e, errorMm)), options.signal) : judge; // prettier-ignore
  const seenFrom = options.seamFrom ? direction(options.seamFrom) : null;
  const features =
    settings.weights.feature > 0 ? smallFeatures(given, settings.featureMm, neighbours) : [];
  const allowed = options.directions?.map((d) => reflected(direction(d), signs));
  const candidates = candidateDirections(form, skin, skinPoints(thin.body), allowed);
  const bound = leastPieces(part, room);
  let sketched: Body | undefined;
  let roughed: Body | undefined;
  const sketch = (): Body => (sketched ??= bodyFrom(thinMesh(coarse, SKETCH_FACETS)));
  const shared = {
    settings,
    sketch,
    rough: () => (roughed ??= bodyFrom(thinMesh(sketch(), ROUGH_FACETS))),
    bodies: closed ? countBodies(part.body) : 1,
    wanted: options.pieces ?? 1,
    least: bound.count,
    signal: options.signal,
  };
  const keep = options.keep ?? [];
  return {
    part,
    thin,
    signs,
    form,
    judge,
    remarks,
    bound,
    task: {
      ...shared,
      judge: searchJudge,
      candidates,
      keep: keep.map((zone) => reflectZone(zone, signs)),
      features: features.map(({ points }) => ({
        points: points.map((x, i) => x * (signs[i % 3] as number)),
      })),
      seenFrom: seenFrom && reflected(seenFrom, signs),
    },
    partTask: {
      ...shared,
      judge,
      candidates: {
        ...candidates,
        mirrors: candidates.mirrors.map((m) => reflectPlane(m, signs)),
        plain: candidates.plain.map((d) => reflected(d, signs)),
      },
      keep,
      features,
      seenFrom,
    },
  };
}

function direction(d: Vec3): Vec3 {
  const n = unit(d);
  if (!n)
    throw new ScantlingError('BAD_DIRECTION', `${d.join(', ')} is not a direction.`, {
      remedy: 'Give three numbers that are not all zero.',
    });
  return n;
}

/** Whether every edge is shared by two facets that run along it in opposite senses. */
export function isClosed(mesh: Mesh, neighbours: Int32Array): boolean {
  const t = mesh.triangles;
  let odd = false;
  for (let e = 0; e < neighbours.length; e++) {
    const other = neighbours[e] as number;
    if (other === OPEN) return false;
    if (other === NON_MANIFOLD) odd = true;
    if (other < 0) continue;
    const a = t[e] as number;
    const b = t[e % 3 === 2 ? e - 2 : e + 1] as number;
    if (!runsAgainst(t, other, a, b)) return false;
  }
  return !odd || balancedEdges(mesh);
}

/** Edges with more than two facets are sound when as many run one way as the other. */
function balancedEdges(mesh: Mesh): boolean {
  const t = mesh.triangles;
  const n = mesh.positions.length / 3;
  const sum = new Map<number, number>();
  for (let e = 0; e < t.length; e++) {
    const a = t[e] as number;
    const b = t[e % 3 === 2 ? e - 2 : e + 1] as number;
    const key = Math.min(a, b) * n + Math.max(a, b);
    const left = (sum.get(key) ?? 0) + (a < b ? 1 : -1);
    if (left === 0) sum.delete(key);
    else sum.set(key, left);
  }
  return sum.size === 0;
}
