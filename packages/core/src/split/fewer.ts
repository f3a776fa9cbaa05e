import { isFork, leavesOf, sketchOf, type Draft, type Task } from './leaf.ts';
import { shapeOf, Shaking, type Shape } from './shake.ts';

/** Three pieces are made two by a single cut: `halve` looks for that. */
const LEAST = 3;
/** More pieces than this are not moved about together, but those of parts of the plan. */
const MOST_MOVED = 24;
const MOST_IN_PART = 12;
/** Plans with different pieces joined that are tried. */
const STARTS = 3;

/**
 * A plan of one piece less than a complete one: two pieces are joined again, and all planes are
 * moved about until every piece fits, by simulated annealing (Kirkpatrick, Gelatt and Vecchi 1983)
 * on what the pieces are too large in total. Cuts shrink one piece and swell others; the search
 * piece by piece cannot see that a first cut far off its best place saves a piece in the end.
 * @returns null when none was found
 */
export function fewer(draft: Draft, task: Task): Draft | null {
  const pieces = leavesOf(draft).length;
  if (!isFork(draft) || pieces <= LEAST || pieces > MOST_MOVED) return null;
  if (draft.leaf.within.length === 0 && pieces <= task.least) return null;
  if (task.wanted > 1 || task.settings.fewerMoves === 0) return null;
  const shaking = new Shaking(task);
  const root = draft.leaf;
  const sketch = sketchOf(root, task);
  if (!sketch) return null;
  const coarse = root.within.length > 0 ? sketch : task.rough();
  for (const start of shaking.starts(without(draft), coarse).slice(0, STARTS)) {
    const found = shaking.run(start, root, [coarse, sketch, root.body], task.settings.fewerMoves);
    if (found) return found;
  }
  return null;
}

/** The plan of ever fewer pieces, as long as one is found; the draft itself where none is. */
export function fewest(draft: Draft, task: Task): Draft {
  const parts = leavesOf(draft).length > MOST_MOVED ? inParts(draft, task) : draft;
  const found = fewer(parts, task);
  return found ? fewest(found, task) : parts;
}

/** The same for the parts of a plan too large to be moved about as a whole. */
function inParts(draft: Draft, task: Task): Draft {
  if (!isFork(draft)) return draft;
  if (leavesOf(draft).length <= MOST_IN_PART) return fewest(draft, task);
  const below = inParts(draft.below, task);
  const above = inParts(draft.above, task);
  return below === draft.below && above === draft.above ? draft : { ...draft, below, above };
}

/** The draft with one cut left out, in every way in which no piece is joined to more than it was. */
function without(draft: Draft): Shape[] {
  if (!isFork(draft)) return [];
  const { cut, below, above } = draft;
  const joined: Shape[] = [];
  if (cut.origin !== 'given') {
    if (!isFork(below)) joined.push(shapeOf(above));
    if (!isFork(above) && isFork(below)) joined.push(shapeOf(below));
  }
  return [
    ...joined,
    ...without(below).map((b) => ({ cut, below: b, above: shapeOf(above) })),
    ...without(above).map((a) => ({ cut, below: shapeOf(below), above: a })),
  ];
}
