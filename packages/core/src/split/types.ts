import type { Placement } from '../fit/types.ts';
import type { Vec3 } from '../math/index.ts';
import type { Plane } from '../mesh/index.ts';

/**
 * A plan to split one part by planes. A plan is data: no geometry is changed by making one. All
 * points, normals and offsets are in the part's own coordinates, as in its file, in mm.
 */

/** A plane: all p with dot(normal, p) = offsetMm. `below` is dot < offset, `above` dot > offset. */
export interface CutPlane extends Plane {
  /** A, B, C ... in the order of first use; one plane may cut several pieces. */
  readonly id: string;
  /** The point of the plane nearest to the middle of the part's bounding box. */
  readonly point: Vec3;
  /** Why this direction was tried: `axis x`, `box`, `principal`, `face`, `symmetry`, `given`. */
  readonly origin: string;
}

/** A binary tree: every cut parts one piece in two; the leaves are the pieces. */
export type SplitTree =
  | {
      readonly cut: string;
      readonly plane: string;
      readonly below: SplitTree;
      readonly above: SplitTree;
    }
  | { readonly piece: string };

/** Figures of one cut face. A figure that an open mesh cannot give is null. */
export interface Seam {
  /** Outline of the cut on the outer skin, mm; edges on earlier cuts don't count. */
  readonly lengthMm: number;
  /** Outline of holes and hollows in the cut, mm. */
  readonly innerMm: number;
  /** The part of `lengthMm` on the side that is seen (`seamFrom`); all of it when no side was named. */
  readonly seenMm: number;
  /** Area of material in the cut, mm2. */
  readonly areaMm2: number | null;
  /** Centroid of the cut face, part coordinates, mm; null without an area. */
  readonly centroidMm: Vec3 | null;
  /**
   * Least elastic section modulus about an axis in the face through the centroid, mm3: over axes
   * every 3 degrees and the principal ones.
   */
  readonly sectionModulusMm3: number | null;
  /** 2 x area / outline: the mean thickness of walls in the cut, mm. */
  readonly meanThicknessMm: number | null;
  /** Separate regions of material in the cut: each is glued, and wants dowels, for itself. */
  readonly regions: number | null;
  /** Least of the regions' mean thicknesses, mm. */
  readonly leastThicknessMm: number | null;
}

/** One side of a plane, by the plane's id. */
export interface Bound {
  readonly plane: string;
  readonly side: 'below' | 'above';
}

/** One cut of one piece: a node of the tree. */
export interface SplitCut {
  /** 1, 2, 3 ... in the order of cutting: a parent before its children. */
  readonly id: string;
  readonly plane: string;
  /** The earlier cuts that bound the piece being cut, outermost first. */
  readonly within: readonly Bound[];
  /** Ids of the final pieces on either side of this cut. */
  readonly below: readonly string[];
  readonly above: readonly string[];
  /** Turns in degrees about the fixed axes, X first, then Y, then Z, that bring the normal to +Z. */
  readonly turnsDeg: Vec3;
  /** Height of the cut over the lowest point of the piece being cut, once turned, mm. */
  readonly heightMm: number;
  readonly seam: Seam;
}

/** Whether a piece goes on a machine. `fits` null: not decided within the allowed work. */
export interface PieceFit {
  readonly fits: boolean | null;
  /** Envelope that takes it, or the last one tried. */
  readonly envelope: string;
  /** The witness; null when it does not fit or is not decided. */
  readonly placement: Placement | null;
}

export interface SplitPiece {
  /** 1, 2, 3 ...; marks on the cut faces name it. */
  readonly id: string;
  /** The half-spaces whose intersection with the part is this piece, outermost first. */
  readonly within: readonly Bound[];
  readonly fit: PieceFit;
  /** Volume of material, mm3; null for a mesh that is not closed. */
  readonly volumeMm3: number | null;
  /** Size along the part's own axes, mm. */
  readonly sizeMm: Vec3;
  /** Bodies of this piece that hang together nowhere; null for a mesh that is not closed. */
  readonly bodies: number | null;
}

/** One term of the cost: `cost` = `weight` x `value`; the weight's unit is cost per `unit`. */
export interface CostTerm {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly weight: number;
  readonly cost: number;
}

export interface SplitPlan {
  readonly part: string;
  readonly planes: readonly CutPlane[];
  readonly tree: SplitTree;
  /** In the order of cutting. */
  readonly cuts: readonly SplitCut[];
  readonly pieces: readonly SplitPiece[];
  /** Every piece is certified to fit. */
  readonly complete: boolean;
  readonly cost: { readonly total: number; readonly terms: readonly CostTerm[] };
  /**
   * What the same plan, mirrored, costs on the part of the other side, without supports, mm of seam;
   * only where both were planned together: then the sum decides.
   */
  readonly twinCostMm?: number;
  /** What cannot be promised, and why, in plain words. */
  readonly remarks: readonly string[];
}

/** The best plan first, then the next best that really differ, and what is proved about the count. */
export interface Split {
  readonly part: string;
  readonly plans: readonly SplitPlan[];
  /** Proved: fewer pieces than `count` is impossible, however cut by planes. */
  readonly lowerBound: { readonly count: number; readonly because: string };
  /** False for an open mesh: volumes and areas are then unknown. */
  readonly closed: boolean;
  readonly remarks: readonly string[];
}
