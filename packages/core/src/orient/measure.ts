import type { Placement } from '../fit/index.ts';
import { dot, quatToMatrix, rotate, transpose, type Vec3 } from '../math/index.ts';
import { degrees } from '../units.ts';
import { bridgesOf } from './bridges.ts';
import type { Candidate } from './candidates.ts';
import { contactOf } from './contact.ts';
import { growthOf, type Stage } from './growth.ts';
import { islandsOf } from './islands.ts';
import type { Part } from './part.ts';
import type { WayUp } from './result.ts';
import type { OrientSettings } from './settings.ts';
import { bedLimit, tipDeg } from './steadiness.ts';
import { evaluateSupports } from './supports.ts';
import { gridRotation, turn, wallYaw, type Body } from './turned.ts';

/** All figures of one way up but its rank. */
export type Figures = Omit<WayUp, 'bestAt' | 'score'>;

export interface MeasureOptions {
  readonly settings: OrientSettings;
  /** Unit vector, part coordinates, along which the part is pulled or pressed in use; null for none. */
  readonly load: Vec3 | null;
  /** Mass of the printed part, g; null: as if solid. */
  readonly massG: number | null;
  /** Leave out what only grows with height: islands, bridges, stability before the end. */
  readonly brief: boolean;
}

/** The first layer is squeezed onto the plate: this share of it still counts as touching. */
const CONTACT_SHARE = 0.25;
/** Heights at which the growing part is weighed. */
const STAGES = 24;

/** Measures the part with `candidate.up` as +Z, placed as `placement` says. */
export function measureWay(
  part: Part,
  candidate: Candidate,
  placement: Placement,
  options: MeasureOptions,
): Figures {
  const { settings, brief } = options;
  const { up } = candidate;
  const { body } = part;
  const { selfSupportDeg, bridgeMm, layerMm } = settings;

  // In brief, supports are read off the finer twin; what touches the plate never is.
  const seen = brief ? part.medium : body;
  const found = evaluateSupports(seen, up, { selfSupportDeg, maxCells: brief ? 96 : 1536 });
  const yaw = wallYaw(part.medium, up);
  const box = turn(body, up, yaw);
  const tall = box.z1 - box.z0;
  const band = CONTACT_SHARE * layerMm;
  const contact = contactOf(body, box, band, !brief);
  const bridges =
    brief || found.volumeMm3 === 0
      ? { sparedShare: 0, areaMm2: 0, longestMm: 0 }
      : bridgesOf(body, box, { selfSupportDeg, bridgeMm });
  const islands = brief ? [] : islandsOf(body, part.links, part.shellOf, box, layerMm);

  const grid = gridRotation(up, yaw);
  const turned = rotate(grid, part.centre);
  const whole: Stage = {
    heightMm: tall,
    volumeMm3: part.volumeMm3 ?? 0,
    centre: [turned[0], turned[1], turned[2] - box.z0],
  };
  const grown = part.volumeMm3 === null || brief ? [] : grow();
  const stages = [...grown, whole];
  const tips = stages.map((s) => tipDeg(contact.base, s.centre));
  const least = tips.indexOf(Math.min(...tips));
  const density = settings.densityGPerCm3 / 1000;
  const massG = options.massG ?? (part.volumeMm3 === null ? null : part.volumeMm3 * density);

  return {
    up: [...up],
    rotation: [...placement.rotation],
    turnsDeg: [...placement.turnsDeg],
    translationMm: [...placement.translationMm],
    sizeMm: [...placement.sizeMm],
    from: candidate.from,
    rests: contact.rests,
    steady: (tips[least] as number) >= settings.steadyDeg,
    supports: {
      volumeMm3: found.volumeMm3 * (1 - bridges.sparedShare),
      bridgedMm3: found.volumeMm3 * bridges.sparedShare,
      errorMm3: found.errorMm3,
      touchedMm2: found.touchedMm2,
      standingOnPartMm2: found.standingOnPartMm2,
      cleanTouchedMm2: body.clean === null ? null : found.cleanTouchedMm2,
      largestOverhangDeg: largestOverhangDeg(body, box.z0 + band),
      massG: found.volumeMm3 * (1 - bridges.sparedShare) * density,
    },
    bridges: { areaMm2: bridges.areaMm2, longestMm: bridges.longestMm },
    contact: { areaMm2: contact.areaMm2, circleDiameterMm: 2 * contact.circle.radiusMm },
    islands: { count: islands.length, firstAtMm: islands.slice(0, 8).map((i) => i.heightMm) },
    heightMm: tall,
    layers: Math.ceil(tall / layerMm - 1e-6),
    stability: {
      tipDeg: tips[tips.length - 1] as number,
      leastTipDeg: tips[least] as number,
      leastAtMm: (stages[least] as Stage).heightMm,
      byHeight: stages.flatMap((s, i) =>
        (i + 1) % 4 === 0 || i === stages.length - 1
          ? [{ heightMm: s.heightMm, tipDeg: tips[i] as number }]
          : [],
      ),
      centreFrom: part.volumeMm3 === null ? 'hull' : 'volume',
    },
    loadToLayersDeg:
      options.load === null
        ? null
        : degrees(Math.asin(Math.min(1, Math.abs(dot(options.load, up))))),
    bed: bedOf(stages, massG),
  };

  /** On the finer twin, in the same turned frame. */
  function grow(): Stage[] {
    const twin = part.medium === body ? box : turn(part.medium, up, yaw);
    return growthOf(part.medium, twin, STAGES).slice(0, -1);
  }

  function bedOf(all: readonly Stage[], mass: number | null): WayUp['bed'] {
    const { bed } = settings;
    if (bed.axis === 'none' || mass === null || part.volumeMm3 === null) return null;
    const machineAxis: Vec3 = bed.axis === 'x' ? [1, 0, 0] : [0, 1, 0];
    const inGrid = rotate(grid, rotate(transpose(quatToMatrix(placement.rotation)), machineAxis));
    const limits = all.map((stage) =>
      bedLimit(contact, stage, {
        axis: [inGrid[0], inGrid[1]],
        densityGPerMm3: mass / (part.volumeMm3 as number),
        adhesionKpa: bed.adhesionKpa,
        friction: bed.friction,
      }),
    );
    const holds = limits.map((l) => Math.min(l.liftsAt, l.tipsAt, l.slidesAt ?? Infinity));
    const slow = holds.findIndex((a) => a < bed.accelerationMmPerS2);
    const slides = limits.flatMap((l) => (l.slidesAt === null ? [] : [l.slidesAt]));
    return {
      axis: bed.axis,
      accelerationMmPerS2: bed.accelerationMmPerS2,
      liftsAtMmPerS2: Math.min(...limits.map((l) => l.liftsAt)),
      tipsAtMmPerS2: Math.min(...limits.map((l) => l.tipsAt)),
      slidesAtMmPerS2: slides.length > 0 ? Math.min(...slides) : null,
      slowFromMm: slow < 0 ? null : slow === 0 ? 0 : (limits[slow - 1]?.heightMm ?? 0),
      caution: slow >= 0 && mass >= bed.heavyG,
      basis: 'estimate: rigid block on an accelerating plate',
    };
  }
}

/** Over facets that do not lie on the plate, down to walls (0). */
function largestOverhangDeg(body: Body, contactTop: number): number {
  const { lean, z, mesh } = body;
  const t = mesh.triangles;
  let least = 0;
  for (let f = 0; f < lean.length; f++) {
    const nz = lean[f] as number;
    if (nz >= least) continue;
    const onPlate =
      (z[t[3 * f] as number] as number) <= contactTop &&
      (z[t[3 * f + 1] as number] as number) <= contactTop &&
      (z[t[3 * f + 2] as number] as number) <= contactTop;
    if (!onPlate) least = nz;
  }
  return degrees(Math.asin(Math.min(1, -least)));
}
