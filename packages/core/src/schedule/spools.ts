import { feed, type Draw, type MidChange } from './feeding.ts';
import type { Hours } from './hours.ts';

/** One print as the spool sees it. */
export interface SpoolUse extends Draw {
  readonly print: number;
  readonly material: string;
  readonly startS: number;
  /** Running time without standing still, s. */
  readonly durationS: number;
}

/** A spool to be put on: before a print starts, or while it runs. */
export interface SpoolChange extends Omit<MidChange, 'kind'> {
  readonly print: number;
  readonly kind: 'before' | MidChange['kind'];
  /** On the spool that is put on, g; one begun earlier or a full one, reserve taken off. */
  readonly loadG: number;
}

export interface SpoolSum {
  readonly material: string;
  readonly massG: number;
  /** Spools opened. */
  readonly spools: number;
  readonly changes: readonly SpoolChange[];
}

/** A rest smaller than this is not kept, g. */
const CRUMB_G = 5;

/**
 * Walks one machine's prints in order, each material beginning with a full spool. No print begins
 * with less than it needs: the spool that stays on if it is enough, else the smallest rest that is,
 * else a full one. Only prints that take more than a full spool are changed on the way (`feed`).
 */
export function spoolWalk(uses: readonly SpoolUse[], hours: Hours): SpoolSum[] {
  const shelves = new Map<string, Shelf>();
  for (const use of uses) {
    const shelf = shelves.get(use.material) ?? newShelf(use.usableG);
    shelves.set(use.material, shelf);
    shelf.massG += use.massG;
    const many = use.massG > use.usableG + 1e-6;
    if (shelf.onG < Math.min(use.massG, use.usableG) - 1e-6) {
      const leftG = shelf.onG;
      shelf.onG = takeFrom(shelf, many ? Infinity : use.massG, use.usableG);
      keep(shelf, leftG);
      shelf.changes.push({ print: use.print, kind: 'before', atS: use.startS, atShare: 0, leftG, loadG: shelf.onG }); // prettier-ignore
    }
    if (!many) {
      shelf.onG -= use.massG;
      continue;
    }
    const { changes, restG } = feed(hours, use.startS, use.durationS, use);
    for (const change of changes) {
      shelf.spools++;
      keep(shelf, change.leftG);
      shelf.changes.push({ print: use.print, ...change, loadG: use.usableG });
    }
    shelf.onG = restG;
  }
  return [...shelves].map(([material, { massG, spools, changes }]) => ({ material, massG, spools, changes })); // prettier-ignore
}

/** One material's spools beside a machine. */
interface Shelf {
  /** On the machine, g. */
  onG: number;
  /** Begun and taken off, g each. */
  readonly begun: number[];
  massG: number;
  spools: number;
  readonly changes: SpoolChange[];
}

const newShelf = (fullG: number): Shelf => ({ onG: fullG, begun: [], massG: 0, spools: 1, changes: [] }); // prettier-ignore

const keep = (shelf: Shelf, restG: number): void => {
  if (restG >= CRUMB_G) shelf.begun.push(restG);
};

/** Takes the smallest begun spool with enough on it, else opens a full one. */
function takeFrom(shelf: Shelf, enoughG: number, fullG: number): number {
  const fit = shelf.begun.filter((g) => g >= enoughG).sort((a, b) => a - b)[0];
  if (fit === undefined) {
    shelf.spools++;
    return fullG;
  }
  shelf.begun.splice(shelf.begun.indexOf(fit), 1);
  return fit;
}
