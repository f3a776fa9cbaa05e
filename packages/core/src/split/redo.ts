import { halve } from './halve.ts';
import { cutsOf, isFork, leavesOf, type Draft, type Fork, type Leaf, type Task } from './leaf.ts';
import { cutCost } from './options.ts';

/** The most pieces of a part of a plan that is searched anew. */
const MOST_SEARCHED = 6;
/** Parts of so many pieces may yet come apart in two. */
const HALVED = 3;

/** Cost of all cuts of a draft, mm of seam. */
export function draftCost(draft: Draft, task: Task): number {
  if (!isFork(draft)) return 0;
  const here = cutCost(draft.leaf, draft.cut, task);
  return here + draftCost(draft.below, task) + draftCost(draft.above, task);
}

/** The whole plan, a part of it, or a part of what was searched anew: that is not searched again. */
type Stage = 'whole' | 'part' | 'searched';

interface Found {
  readonly draft: Draft;
  readonly costMm: number;
  readonly count: number;
}

/**
 * Parts of complete plans, done again each by itself: in the search of the whole they had to share
 * the beam with all others, though how one side is cut does not matter to the other.
 */
export class Redo {
  private readonly task: Task;
  private readonly search: (leaf: Leaf, most: number) => Found | undefined;
  private readonly halves = new Map<Leaf, Fork | null>();

  /** @param search finds the best plan of a single leaf, of no more pieces than told */
  constructor(task: Task, search: (leaf: Leaf, most: number) => Found | undefined) {
    this.task = task;
    this.search = search;
  }

  /** Whether no number of pieces was asked for. */
  private get mayBeFewer(): boolean {
    return this.task.wanted <= 1;
  }

  /** @param thorough last cuts, too, are looked for anew where they may get cheaper */
  whole(draft: Draft, thorough: boolean): Draft {
    return this.part(draft, thorough, 'whole');
  }

  private part(draft: Draft, thorough: boolean, stage: Stage): Draft {
    if (!isFork(draft)) return draft;
    const pieces = leavesOf(draft).length;
    const fixed = cutsOf(draft).some((cut) => cut.origin === 'given');
    if (pieces === 2) return thorough && stage !== 'whole' && !fixed ? this.cheaper(draft) : draft;
    const halved = pieces === HALVED && !fixed && this.mayBeFewer ? this.halved(draft) : null;
    if (halved) return halved;
    const search = stage === 'part' && !fixed && pieces <= MOST_SEARCHED;
    const fork = search ? this.searched(draft, pieces) : draft;
    const next = search || stage === 'searched' ? 'searched' : 'part';
    const below = this.part(fork.below, thorough, next);
    const above = this.part(fork.above, thorough, next);
    return below === fork.below && above === fork.above ? fork : { ...fork, below, above };
  }

  private searched(draft: Fork, pieces: number): Fork {
    const anew = this.search(draft.leaf, pieces);
    const better =
      anew &&
      ((anew.count < pieces && this.mayBeFewer) ||
        (anew.count === pieces && anew.costMm < draftCost(draft, this.task)));
    return better && isFork(anew.draft) ? anew.draft : draft;
  }

  /** One cut in place of several, where there is such a cut at all. */
  private halved(draft: Fork): Fork | null {
    const known = this.halves.get(draft.leaf);
    if (known !== undefined) return known;
    const found = halve(draft.leaf, this.task, 2 * draftCost(draft, this.task));
    this.halves.set(draft.leaf, found);
    return found;
  }

  private cheaper(draft: Fork): Fork {
    const costMm = draftCost(draft, this.task);
    const found = halve(draft.leaf, this.task, costMm);
    return found && draftCost(found, this.task) < costMm ? found : draft;
  }
}
