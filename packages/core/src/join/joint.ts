import { checkCancelled, type Context } from '../context.ts';
import { degrees } from '../units.ts';
import { dot, type Vec3 } from '../math/index.ts';
import {
  regionFigures,
  type Mesh,
  type Plane,
  type PlaneFrame,
  type Section,
} from '../mesh/index.ts';
import type { FlatKernel, Loops } from '../solid/index.ts';
import { adviseBare } from './advice.ts';
import type { Hole } from './clearance.ts';
import { closeChains, faceRegions } from './face.ts';
import { fromFace, toFace, type HalfSpace } from './frame.ts';
import { placeMark } from './mark.ts';
import {
  obstacleWalls,
  type DrilledHole,
  type JointKeepOut,
  type Obstacles,
  type Rod,
} from './obstacles.ts';
import { dowelOptions, type DowelOption } from './options.ts';
import { candidateSites, placeDowels, type Pattern, type PatternKey } from './place.ts';
import {
  distanceToOutline,
  inscribedCircle,
  insidePatch,
  leastModulus,
  longDirection,
  type Patch,
} from './patch.ts';
import type { Dowel, Joint, JointRegion } from './schema.ts';
import type { JoinSettings } from './settings.ts';
import type { Skin } from './skin.ts';
import { jointStrength } from './strength.ts';
import { faceSymmetries, keyOf, type Site } from './symmetry.ts';

/**
 * Sides of the prism that stands for a drilled hole in solids. Its flats touch the hole's circle
 * from outside, and the proof is for the circle through its corners, so nothing is cut unproved.
 */
export const HOLE_SIDES = 48;
export const circumscribed = (r: number): number => r / Math.cos(Math.PI / HOLE_SIDES);

/** A rod this near to square with the cut keeps the pieces in line (common practice, no source). */
const ROD_SQUARE_DEG = 30;

/** The section of a part in one plane, opened once for all the pairs of pieces that meet there. */
export interface CutFace {
  readonly plane: Plane;
  readonly frame: PlaneFrame;
  /** Section of the whole part, face coordinates, mm. */
  readonly loops: Loops;
  readonly closed: boolean;
  /** Length of outline that an open mesh left out and straight lines stand for, mm. */
  readonly guessedMm: number;
  readonly skin: Skin;
  readonly flat: FlatKernel;
}

/** Greatest height over the plane that any hole with its wall can reach, mm. */
export function jointReach(settings: JoinSettings): number {
  return dowelOptions(settings).reduce(
    (most, o) => Math.max(most, o.belowMm + o.wallMm, o.aboveMm + o.wallMm),
    1,
  );
}

/**
 * @param section the plane's section of the whole mesh
 * @param closed whether the mesh is closed; if not, nothing is proved to lie inside
 */
export async function openCutFace(
  mesh: Mesh,
  plane: Plane,
  section: Section,
  closed: boolean,
  settings: JoinSettings,
  flat: FlatKernel,
): Promise<CutFace> {
  // Loaded late: the tree's library is heavy, and not every run drills.
  const { makeSkin } = await import('./skin.ts');
  const skin = makeSkin(mesh, section.frame, jointReach(settings));
  const { loops, guessedMm } = closeChains(section.chains);
  return {
    plane,
    frame: section.frame,
    loops: [...section.loops, ...loops],
    closed: closed && section.chains.length === 0,
    guessedMm,
    skin,
    flat,
  };
}

export interface JointSide {
  readonly piece: string;
  /** The half-spaces of that final piece, this cut's own plane left out. */
  readonly within: readonly HalfSpace[];
}

export interface JointAsk {
  readonly id: string;
  readonly cut: string;
  readonly below: JointSide;
  readonly above: JointSide;
  readonly keepOuts?: readonly JointKeepOut[];
  readonly rods?: readonly Rod[];
  /** Holes already drilled into either piece from other cuts. */
  readonly holes?: readonly DrilledHole[];
  /** Letters of the longest mark to be sunk into the faces. Default 3. */
  readonly markLetters?: number;
  /** Mass that hangs from the joint, g. */
  readonly loadG?: number;
}

/**
 * The joint between two final pieces that meet in a cut, with its dowels; null where they do not
 * touch. Every dowel's hole is proved to keep its wall along its whole length on both sides: to
 * the part's surface by exact distances over a bounding-volume tree, to other cuts, holes, rods
 * and keep-outs in closed form.
 * @throws ScantlingError `BAD_STOCK`, `CANCELLED`
 */
export function proposeJoint(
  face: CutFace,
  ask: JointAsk,
  settings: JoinSettings,
  context?: Context,
): Joint | null {
  const within = [...ask.below.within, ...ask.above.within];
  const regions = faceRegions(face.flat, face.loops, face.frame, within);
  if (regions.length === 0) return null;
  const obstacles: Obstacles = {
    below: ask.below.within,
    above: ask.above.within,
    keepOuts: ask.keepOuts ?? [],
    rods: ask.rods ?? [],
    holes: ask.holes ?? [],
  };
  const work = new JointWork(face, ask, settings, obstacles);
  const done = regions.map((region, i) => {
    checkCancelled(context);
    return work.region(region, regions, i === regions.length - 1);
  });
  const dowels = done.flatMap((r) => r.dowels);
  const areaMm2 = done.reduce((a, r) => a + r.areaMm2, 0);
  const holesMm2 = dowels.reduce((a, d) => a + (Math.PI / 4) * d.holeDiameterMm ** 2, 0);
  return {
    id: ask.id,
    cut: ask.cut,
    below: ask.below.piece,
    above: ask.above.piece,
    plane: { normal: [...face.plane.normal], offsetMm: face.plane.offsetMm },
    frame: {
      origin: [...face.frame.origin],
      u: [...face.frame.u],
      v: [...face.frame.v],
    },
    loopsMm: regions.flatMap((r) => r.loops.map((loop) => Array.from(loop))),
    areaMm2,
    regions: done,
    strength: jointStrength(Math.max(0, areaMm2 - holesMm2), dowels, settings, ask.loadG ?? null),
    mark: placeMark(face, regions, dowels, ask.markLetters ?? 3),
    closed: face.closed,
    remarks: remarks(face, done),
  };
}

function remarks(face: CutFace, regions: readonly JointRegion[]): string[] {
  const out: string[] = [];
  if (!face.closed)
    out.push(
      'The mesh is open: walls are measured to the surface that is there, and nothing is proved to lie inside the material.',
    );
  if (face.guessedMm > 0)
    out.push(
      `The outline of the cut is open: ${face.guessedMm.toFixed(1)} mm of it were closed with straight lines.`,
    );
  if (regions.some((r) => r.onlyRightWay === 'but-mirrored'))
    out.push('The holes forbid every turn; heed the marks, since a mirrored fit is possible.');
  if (regions.some((r) => r.onlyRightWay === 'no'))
    out.push('The holes do not forbid every wrong way of assembly: heed the marks.');
  return out;
}

/** The holes of a joint as cylinders in part coordinates, for the joints that come after it. */
export const drilledHoles = (joint: Joint): DrilledHole[] =>
  joint.regions.flatMap((r) =>
    r.dowels.map((d) => ({
      fromMm: along(d, -d.depthBelowMm),
      toMm: along(d, d.depthAboveMm),
      radiusMm: circumscribed(d.holeDiameterMm / 2),
    })),
  );

const along = (d: Pick<Dowel, 'centreMm' | 'axis'>, t: number): Vec3 => [
  d.centreMm[0] + t * d.axis[0],
  d.centreMm[1] + t * d.axis[1],
  d.centreMm[2] + t * d.axis[2],
];

/** Places the dowels of one joint, region after region; each sees the dowels placed before it. */
class JointWork {
  private readonly placed: Site[] = [];
  private readonly options: DowelOption[];
  private readonly walls: ReturnType<typeof obstacleWalls>;
  private readonly rods: { x: number; y: number; r: number; aligns: boolean }[];
  private count = 0;

  private readonly face: CutFace;
  private readonly ask: JointAsk;
  private readonly settings: JoinSettings;

  constructor(face: CutFace, ask: JointAsk, settings: JoinSettings, obstacles: Obstacles) {
    this.face = face;
    this.ask = ask;
    this.settings = settings;
    this.options = dowelOptions(settings);
    this.walls = obstacleWalls(face.frame, obstacles);
    this.rods = obstacles.rods.flatMap((rod) => {
      const slope = dot(rod.axis, face.plane.normal);
      if (Math.abs(slope) < 1e-6) return [];
      const t = (face.plane.offsetMm - dot(rod.pointMm, face.plane.normal)) / slope;
      const at: Vec3 = [
        rod.pointMm[0] + t * rod.axis[0],
        rod.pointMm[1] + t * rod.axis[1],
        rod.pointMm[2] + t * rod.axis[2],
      ];
      const [x, y] = toFace(face.frame, at);
      const aligns = Math.abs(slope) >= Math.cos((ROD_SQUARE_DEG * Math.PI) / 180);
      return [{ x, y, r: rod.diameterMm / 2, aligns }];
    });
  }

  region(region: Patch, all: readonly Patch[], last: boolean): JointRegion {
    const { face, settings } = this;
    const figures = regionFigures(region.loops);
    const coarse: Patch = { loops: face.flat.simplify(region.loops, 0.01) };
    const circle = inscribedCircle(coarse);
    const outline: Patch = { loops: region.loops.slice(0, 1) };
    const rods = this.rods.filter((r) => r.aligns && insidePatch(outline, r.x, r.y));
    const keys: PatternKey[] = [
      { symmetries: faceSymmetries(coarse, figures.centroidMm), fixed: rods },
    ];
    if (last && all.length > 1) {
      const whole: Patch = { loops: all.flatMap((r) => r.loops) };
      const fixed = [...this.placed, ...rods];
      keys.push({
        symmetries: faceSymmetries(whole, regionFigures(whole.loops).centroidMm),
        fixed,
      });
    }
    const wanted = Math.max(1, 2 - rods.length);
    const found = this.choose(coarse, circle.radiusMm, keys, wanted);
    const dowels = found ? this.measure(coarse, found.option, found.pattern) : [];
    if (found) this.placed.push(...found.pattern.sites);
    const meanThicknessMm = (2 * figures.areaMm2) / figures.perimeterMm;
    const thickestMm = 2 * circle.radiusMm;
    const missMm = found ? found.pattern.missMm : this.bareMiss(keys);
    const advice = found
      ? []
      : adviseBare(
          { areaMm2: figures.areaMm2, thickestMm, meanThicknessMm },
          this.options.at(-1)?.item.diameterMm ?? null,
          settings,
        );
    if (found && dowels.length < wanted)
      advice.push({
        kind: 'second-dowel',
        words: `One dowel only: a second of ${found.option.item.diameterMm} mm or any thinner stock does not fit beside it. One dowel lets the piece turn; set it by the outline and the marks.`,
        sizeMm: [found.option.item.diameterMm],
      });
    return {
      areaMm2: figures.areaMm2,
      outlineMm: figures.perimeterMm,
      centroidMm: [...fromFace(face.frame, ...figures.centroidMm)],
      thickestMm,
      meanThicknessMm,
      secondMomentsMm4: [figures.ixMm4, figures.iyMm4, figures.ixyMm4],
      principalAngleDeg: degrees(longDirection(region)),
      sectionModulusMm3: leastModulus(region),
      rodAligns: rods.length > 0,
      dowels,
      spreadMm: found?.pattern.spreadMm ?? 0,
      onlyRightWay:
        missMm < settings.keyMm ? 'no' : found?.pattern.mirrorsAdmitted ? 'but-mirrored' : 'yes',
      missMm: Number.isFinite(missMm) ? missMm : null,
      advice,
    };
  }

  /** Without dowels only the outline and a rod tell the ways apart. */
  private bareMiss(keys: readonly PatternKey[]): number {
    const { symmetries, fixed } = keys[0] as PatternKey;
    if (fixed.length > 0) return keyOf(fixed, symmetries).missMm;
    const free = (set: Uint8Array, from: number): boolean =>
      set.some((x, k) => x === 1 && k >= from && k <= 360 - from);
    return free(symmetries.turns, 20) || free(symmetries.mirrors, 0) ? 0 : Infinity;
  }

  /** The thickest stock of which `wanted` fit; if none does, the thickest of which one fits. */
  private choose(
    region: Patch,
    radiusMm: number,
    keys: readonly PatternKey[],
    wanted: number,
  ): { option: DowelOption; pattern: Pattern } | null {
    const { settings } = this;
    const sites = new Map<DowelOption, Float64Array>();
    for (const need of wanted > 1 ? [wanted, 1] : [wanted])
      for (const option of this.options) {
        const r = circumscribed(option.holeRadiusMm);
        if (r + option.wallMm > radiusMm) continue;
        const task = {
          region,
          r,
          wallMm: option.wallMm,
          allowed: (x: number, y: number): boolean => this.allowed(option, x, y),
          keys,
          keyMm: settings.keyMm,
        };
        const candidates = sites.get(option) ?? candidateSites(task);
        sites.set(option, candidates);
        let pattern = placeDowels(task, need, candidates);
        if (!pattern) continue;
        const more = Math.min(
          settings.dowelsMost,
          1 + Math.floor(pattern.spreadMm / settings.dowelPitchMm),
        );
        if (more > need) pattern = placeDowels(task, more, candidates) ?? pattern;
        else if (need > 1 && (pattern.missMm < settings.keyMm || pattern.mirrorsAdmitted)) {
          const third = placeDowels(task, need + 1, candidates);
          if (third && third.missMm >= settings.keyMm && !third.mirrorsAdmitted) pattern = third;
        }
        return { option, pattern };
      }
    return null;
  }

  private hole(option: DowelOption, x: number, y: number): Hole {
    const r = circumscribed(option.holeRadiusMm);
    return { cx: x, cy: y, z0: -option.belowMm, z1: option.aboveMm, r };
  }

  private allowed(option: DowelOption, x: number, y: number): boolean {
    const hole = this.hole(option, x, y);
    const besides = this.placed.every(
      (s) => Math.hypot(s.x - x, s.y - y) - s.r - hole.r >= option.wallMm,
    );
    return (
      besides && this.walls(hole).mm >= option.wallMm && this.face.skin.clear(hole, option.wallMm)
    );
  }

  private measure(region: Patch, option: DowelOption, pattern: Pattern): Dowel[] {
    const { frame, plane, skin, closed } = this.face;
    return pattern.sites.map((site, i) => {
      const hole = this.hole(option, site.x, site.y);
      let least = this.walls(hole);
      // The outline is part of the skin, so the wall is no wider than the distance to it.
      const inFace = distanceToOutline(region, site.x, site.y) - hole.r;
      const toSkin = skin.distance(hole, Math.max(0, inFace) + 0.1);
      if (toSkin < least.mm) least = { mm: toSkin, to: 'skin' };
      for (const other of [...this.placed, ...pattern.sites.filter((_, j) => j !== i)]) {
        const gap = Math.hypot(other.x - site.x, other.y - site.y) - other.r - hole.r;
        if (gap < least.mm) least = { mm: gap, to: 'hole' };
      }
      return {
        id: `${this.ask.id}.${++this.count}`,
        stock: option.name,
        item: option.item,
        diameterMm: option.item.diameterMm,
        lengthMm: option.lengthMm,
        holeDiameterMm: 2 * option.holeRadiusMm,
        centreMm: [...fromFace(frame, site.x, site.y)] as [number, number, number],
        axis: [...plane.normal] as [number, number, number],
        faceMm: [site.x, site.y] as [number, number],
        depthBelowMm: option.belowMm,
        depthAboveMm: option.aboveMm,
        leastWallMm: least.mm,
        wallAllowedMm: option.wallMm,
        leastWallTo: least.to,
        proved: closed,
      };
    });
  }
}
