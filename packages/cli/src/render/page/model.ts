import type { Balance, Estimate, OrientResult, Plan, Scan, ScanPart, SplitPart, SplitReport } from '@scantling/core'; // prettier-ignore
import type { PartPictures } from '../../tasks/picture.ts';

/** One part with everything that is known of it; null where no result speaks of it. */
export interface PagePart {
  /** Anchor in the page, p1, p2 ... */
  readonly id: string;
  /** File name without the folder that all share. */
  readonly name: string;
  readonly scan: ScanPart;
  readonly group: string | null;
  readonly role: string | null;
  readonly quantity: number;
  readonly massG: number | null;
  readonly hours: { readonly low: number; readonly likely: number; readonly high: number } | null;
  /** Why nothing is known of mass and hours. */
  readonly because: string | null;
  readonly split: SplitPart | null;
  readonly orient: OrientResult | null;
  readonly pictures: PartPictures | null;
}

export interface SheetLink {
  readonly name: string;
  readonly label: string;
  readonly mime: string;
  readonly base64: string;
  readonly bytes: number;
}

export interface PageModel {
  readonly title: string;
  /** When the page was made, ISO 8601 date. */
  readonly date: string;
  readonly version: string;
  readonly scan: Scan;
  readonly parts: readonly PagePart[];
  readonly split: SplitReport | null;
  readonly estimate: Estimate | null;
  readonly plan: Plan | null;
  readonly figure: FigureModel | null;
  /** Parts of more triangles than this are drawn from a coarser body. */
  readonly drawnFrom: number;
  /** Outline of each machine's plate by its name, origin in the middle, mm. */
  readonly plates: ReadonlyMap<string, readonly (readonly [number, number])[]>;
  /** What had to stay out so that the page keeps to its size, one sentence each. */
  readonly leftOut: readonly string[];
  /** Sheets of the kit, then of single parts by their id. */
  readonly sheets: ReadonlyMap<string, readonly SheetLink[]>;
}

export interface FigureModel {
  readonly views: readonly {
    readonly name: string;
    readonly width: number;
    readonly height: number;
    readonly body: string;
    readonly pxPerMm: number;
    /** Centre of mass on the paper, units of the picture. */
    readonly centre: readonly [number, number] | null;
  }[];
  /** Null when nothing could be weighed or nothing stands. */
  readonly balance: Balance | null;
  readonly heightMm: number;
  readonly missing: readonly string[];
  /** In the figure, but of unknown mass. */
  readonly unknown: readonly string[];
}
