import type { Envelope } from '../envelope/index.ts';
import type { Dowel, Joint } from '../join/index.ts';
import { cross, dot, frameOf, pointAt, quatToMatrix, rotate } from '../math/index.ts';
import { COLLAPSED, edgeNeighbours, runsAgainst, type Mesh } from '../mesh/index.ts';
import type { SplitPiece } from '../split/types.ts';
import type { Side } from './tools.ts';

/** A hole found again in the finished piece, against what was asked for. */
export interface HoleCheck {
  readonly dowel: string;
  /** Distance of the bottom's middle from the dowel's axis, mm. */
  readonly offAxisMm: number;
  /** Depth found less depth asked for, mm. */
  readonly depthErrorMm: number;
}

export interface PieceCheck {
  readonly closed: boolean;
  readonly oriented: boolean;
  /** Null where no machine was named, or the plan has no witness for the piece. */
  readonly fits: boolean | null;
  /** Least room left to the machine's limits, mm; negative outside. */
  readonly roomMm: number | null;
  readonly holes: readonly HoleCheck[];
  readonly findings: readonly string[];
}

/** Mating holes must share their axis to this, mm. */
export const COAXIAL_MM = 1e-3;
/** Vertices may stand outside the machine by rounding only, mm. */
const FIT_SLACK_MM = 1e-6;

/** Looks at a finished piece with nothing but its triangles: no kernel, no trust in the plan. */
export function checkPiece(
  mesh: Mesh,
  piece: SplitPiece,
  joints: readonly Joint[],
  envelopes: readonly Envelope[],
): PieceCheck {
  const { closed, oriented } = surfaceOf(mesh);
  const findings: string[] = [];
  if (!closed) findings.push('its surface is not closed.');
  else if (!oriented) findings.push('its facets do not all face outwards.');
  const roomMm = roomOf(mesh, piece, envelopes);
  const fits = roomMm === null ? null : roomMm >= -FIT_SLACK_MM;
  if (fits === false)
    findings.push(`it stands ${(-(roomMm ?? 0)).toFixed(3)} mm outside ${piece.fit.envelope}.`);
  const holes = joints.flatMap((joint) => {
    const side: Side | null =
      joint.below === piece.id ? 'below' : joint.above === piece.id ? 'above' : null;
    return side
      ? findHoles(
          mesh,
          joint.regions.flatMap((r) => r.dowels),
          side,
        )
      : [];
  });
  for (const h of holes)
    if (!(h.offAxisMm <= COAXIAL_MM && Math.abs(h.depthErrorMm) <= COAXIAL_MM))
      findings.push(`the hole of dowel ${h.dowel} is not where it should be.`);
  return { closed, oriented, fits, roomMm, holes, findings };
}

/**
 * Whether every edge is shared by exactly two facets, and whether they run along it in opposite
 * ways. Facets that name a vertex twice bound nothing and are passed over.
 */
export function surfaceOf(
  mesh: Mesh,
  neighbours: Int32Array = edgeNeighbours(mesh),
): { readonly closed: boolean; readonly oriented: boolean } {
  let edges = 0;
  let oriented = true;
  for (let e = 0; e < neighbours.length; e++) {
    const other = neighbours[e] as number;
    if (other === COLLAPSED) continue;
    if (other < 0) return { closed: false, oriented: false };
    edges++;
    const [a, b] = edgeOf(mesh.triangles, e);
    if (!runsAgainst(mesh.triangles, other, a, b)) oriented = false;
  }
  return { closed: edges > 0, oriented: edges > 0 && oriented };
}

const edgeOf = (t: Uint32Array, e: number): [number, number] => {
  const facet = e - (e % 3);
  return [t[e] as number, t[facet + ((e + 1) % 3)] as number];
};

/**
 * Least room between the piece's vertices, stood up by its witness, and the machine's limits, mm;
 * null without machine or witness. Vertices suffice: the space under a plate's height and inside a
 * convex plate is convex. Boxes to keep out of are measured against the piece's own box.
 */
export function roomOf(
  mesh: Mesh,
  piece: SplitPiece,
  envelopes: readonly Envelope[],
): number | null {
  const envelope = envelopes.find((e) => e.name === piece.fit.envelope);
  const placement = piece.fit.placement;
  if (!envelope || !placement) return null;
  const turn = quatToMatrix(placement.rotation);
  const [tx, ty, tz] = placement.translationMm;
  const side = envelope.marginSideMm;
  const top = envelope.heightMm - envelope.marginTopMm;
  const { plate } = envelope;
  let room = Infinity;
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < mesh.positions.length / 3; i++) {
    const p = rotate(turn, pointAt(mesh.positions, i));
    const [x, y, z] = [p[0] + tx, p[1] + ty, p[2] + tz];
    room = Math.min(room, z, top - z);
    if (plate.shape === 'box')
      room = Math.min(
        room,
        plate.widthMm / 2 - side - Math.abs(x),
        plate.depthMm / 2 - side - Math.abs(y),
      );
    else if (plate.shape === 'round')
      room = Math.min(room, plate.diameterMm / 2 - side - Math.hypot(x, y));
    else room = Math.min(room, insidePolygon(plate.outlineMm, x, y) - side);
    for (const [k, v] of [x, y, z].entries()) {
      low[k] = Math.min(low[k] as number, v);
      high[k] = Math.max(high[k] as number, v);
    }
  }
  for (const k of envelope.keepOuts) {
    const gaps = [0, 1, 2].map((i) =>
      Math.max(
        (k.minMm[i] as number) - (high[i] as number),
        (low[i] as number) - (k.maxMm[i] as number),
      ),
    );
    // Boxes that overlap may still miss each other: only a clear gap or none at all is counted.
    if (Math.max(...gaps) > 0) room = Math.min(room, Math.max(...gaps));
  }
  return room;
}

/** Distance from the nearest edge line of a convex counter-clockwise outline; negative outside. */
function insidePolygon(
  outline: readonly (readonly [number, number])[],
  x: number,
  y: number,
): number {
  let room = Infinity;
  outline.forEach(([x0, y0], i) => {
    const [x1, y1] = outline[(i + 1) % outline.length] as readonly [number, number];
    const l = Math.hypot(x1 - x0, y1 - y0);
    if (l > 0) room = Math.min(room, ((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / l);
  });
  return room;
}

/** Finds every hole's bottom among the vertices of the piece. */
function findHoles(mesh: Mesh, dowels: readonly Dowel[], side: Side): HoleCheck[] {
  const { positions } = mesh;
  return dowels.map((dowel) => {
    const sign = side === 'below' ? -1 : 1;
    const wanted = side === 'below' ? dowel.depthBelowMm : dowel.depthAboveMm;
    const axis = dowel.axis;
    const { u } = frameOf(axis);
    const v = cross(axis, u);
    const r = dowel.holeDiameterMm / 2;
    const c = dowel.centreMm;
    let depth = -Infinity;
    let ring: [number, number, number, number] = [Infinity, -Infinity, Infinity, -Infinity];
    for (let i = 0; i < positions.length; i += 3) {
      const d = [
        (positions[i] as number) - c[0],
        (positions[i + 1] as number) - c[1],
        (positions[i + 2] as number) - c[2],
      ] as const;
      const t = sign * dot(d, axis);
      if (t < wanted - 1 || t > wanted + 1) continue;
      const x = dot(d, u);
      const y = dot(d, v);
      const rho = Math.hypot(x, y);
      if (rho < 0.8 * r || rho > 1.2 * r + 0.05) continue;
      if (t > depth + 1e-4) {
        depth = t;
        ring = [Infinity, -Infinity, Infinity, -Infinity];
      } else if (t < depth - 1e-4) continue;
      ring = [
        Math.min(ring[0], x),
        Math.max(ring[1], x),
        Math.min(ring[2], y),
        Math.max(ring[3], y),
      ];
    }
    return {
      dowel: dowel.id,
      offAxisMm: Math.hypot((ring[0] + ring[1]) / 2, (ring[2] + ring[3]) / 2),
      depthErrorMm: depth - wanted,
    };
  });
}
