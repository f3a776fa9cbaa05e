import { checkCancelled } from '../context.ts';
import { fewest } from './fewer.ts';
import { isFork, leavesOf, replaceLeaf, type Draft, type Leaf, type Task } from './leaf.ts';
import { cutOptions, type Option } from './options.ts';
import { draftCost, Redo } from './redo.ts';

/** A draft with what it costs so far. */
export interface State {
  readonly draft: Draft;
  readonly costMm: number;
  /** Pieces in the end, as far as known. */
  readonly count: number;
}

/** Complete plans of the fewest pieces after which longer ones are dropped. */
const ENOUGH = 6;

/** More pieces than this are no plan for a person. */
export const MOST_PIECES = 64;

/**
 * Beam search over binary trees of cuts (the published model: Luo, Baran, Rusinkiewicz and
 * Matusik 2012), started from the whole part and from the seeds. A step cuts, in every draft
 * kept, the leaf that needs most pieces, in its best ways; the drafts with the fewest pieces in
 * the end, then the least cost, are kept. Leaves are shared between drafts, and so is the work on
 * them. Complete drafts leave the beam for the pool.
 *
 * @returns complete drafts, fewest pieces first, then cheapest; empty when none was found
 */
export function searchDrafts(starts: readonly Draft[], task: Task): State[] {
  const known = new Map<Leaf, Option[]>();
  const optionsOf = (leaf: Leaf): Option[] => {
    let options = known.get(leaf);
    if (!options) known.set(leaf, (options = cutOptions(leaf, task)));
    return options;
  };
  const found = beamSearch(starts, task, optionsOf);
  const redo = new Redo(
    task,
    (leaf, most) => beamSearch([leaf], { ...task, wanted: 1 }, optionsOf, most)[0],
  );
  const redone = found
    .filter(({ count }) => count <= MOST_PIECES)
    .slice(0, redoneOf(found[0]?.count ?? 0))
    .map(({ draft }, i) => redo.whole(draft, i === 0))
    .map((draft) => stateOf(draft, draftCost(draft, task)));
  const ranked = rank([...redone, ...found]);
  const [best] = ranked;
  if (!best || best.count > MOST_PIECES) return ranked;
  const less = lessAndRedone(best.draft, task, redo);
  return less === best.draft ? ranked : rank([stateOf(less, draftCost(less, task)), ...ranked]);
}

/** The plan with fewer pieces where that can be had, and its parts done again. */
function lessAndRedone(draft: Draft, task: Task, redo: Redo): Draft {
  const less = fewest(draft, task);
  if (less === draft) return draft;
  const anew = redo.whole(less, true);
  // Only what came down once more is worth a further look.
  return leavesOf(anew).length < leavesOf(less).length ? lessAndRedone(anew, task, redo) : anew;
}

/** How many plans of so many pieces have their parts searched anew. */
const redoneOf = (pieces: number): number => (pieces <= 4 ? 6 : pieces <= 12 ? 2 : 1);

function beamSearch(
  starts: readonly Draft[],
  task: Task,
  optionsOf: (leaf: Leaf) => Option[],
  most = MOST_PIECES,
): State[] {
  const pool: State[] = [];
  const rough = rank(starts.map((draft) => stateOf(draft, 0))).slice(0, 3 * task.settings.beam);
  const begun = rank(rough.map(({ draft }) => stateOf(draft, draftCost(draft, task))));
  let fewest = most;
  let grown: State[] = [];
  // Complete plans take no place from others in the beam.
  const keep = (state: State): void => {
    const leaves = leavesOf(state.draft);
    if (nextLeaf(leaves, task)) grown.push(state);
    else {
      pool.push(state);
      fewest = Math.min(fewest, Math.max(leaves.length, task.wanted));
    }
  };
  for (const state of begun) keep(state);
  let beam = grown;
  while (beam.length > 0) {
    checkCancelled(task.signal && { signal: task.signal });
    grown = [];
    for (const state of beam) {
      const leaves = leavesOf(state.draft);
      const leaf = nextLeaf(leaves, task);
      if (!leaf || leaves.length >= fewest + 1) continue;
      for (const option of optionsOf(leaf)) {
        const fork = { cut: option.cut, leaf, below: option.below, above: option.above };
        const draft = replaceLeaf(state.draft, leaf, fork);
        keep(stateOf(draft, state.costMm + option.costMm));
      }
    }
    // Longer plans are of interest only while there are too few shortest ones to choose from.
    const enough = pool.filter((s) => s.count <= fewest).length >= ENOUGH;
    const limit = pool.length === 0 ? 2 * most : enough ? fewest : fewest + 1;
    const open = rank(grown).filter((s) => s.count <= limit);
    beam = spread(open, task.settings.beam);
  }
  return rank(pool);
}

function stateOf(draft: Draft, costMm: number): State {
  return { draft, costMm, count: leavesOf(draft).reduce((sum, leaf) => sum + leaf.count, 0) };
}

const rank = (states: readonly State[]): State[] =>
  [...states].sort((a, b) => a.count - b.count || a.costMm - b.costMm);

/** The first states, but not more than half of them from one first cut. */
function spread(states: readonly State[], size: number): State[] {
  const kept: State[] = [];
  const seen = new Set<string>();
  const perFirst = new Map<string, number>();
  for (const state of states) {
    if (kept.length >= size) break;
    const marks = signature(state.draft);
    const key = marks.join('|');
    if (seen.has(key)) continue;
    seen.add(key);
    const first = marks[0] ?? '';
    const used = perFirst.get(first) ?? 0;
    if (used >= Math.max(1, size / 2)) continue;
    perFirst.set(first, used + 1);
    kept.push(state);
  }
  return kept;
}

function signature(draft: Draft): string[] {
  if (!isFork(draft)) return [];
  const c = draft.cut;
  const mark = [...c.normal, c.offsetMm].map((x) => x.toFixed(3)).join();
  return [mark, ...signature(draft.below), ...signature(draft.above)];
}

/** The leaf to cut next: the one that needs most; else the largest while pieces are wanted. */
function nextLeaf(leaves: readonly Leaf[], task: Task): Leaf | null {
  let worst: Leaf | null = null;
  for (const leaf of leaves)
    if (leaf.count > 1 && (!worst || leaf.count > worst.count)) worst = leaf;
  if (worst || leaves.length >= task.wanted) return worst;
  return leaves.reduce((a, b) => (b.volumeMm3 > a.volumeMm3 ? b : a));
}
