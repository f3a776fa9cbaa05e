import type { Segments } from './segments.ts';

export interface Hidden {
  /** Outline of the holes in a section, on the skin, mm, and of that on facets that face the viewer. */
  readonly lengthMm: number;
  readonly seenMm: number;
}

const NOTHING: Hidden = { lengthMm: 0, seenMm: 0 };

/**
 * The part of a section's outline that runs round holes: a cut through a hollow shows nothing of it
 * outside, and it is no seam to be filled and sanded. Lines are followed from facet to facet over
 * their shared edges; those with the material outside are holes.
 */
export function hiddenOutline({ from, to, twice, lengthMm, seenMm }: Segments): Hidden {
  const startsAt = new Map(from.map((edge, s) => [edge, s]));
  const done = new Uint8Array(from.length);
  let hidden = NOTHING;
  for (let first = 0; first < from.length; first++) {
    if (done[first]) continue;
    let area = 0;
    let length = hidden.lengthMm;
    let seen = hidden.seenMm;
    let at: number | undefined = first;
    while (at !== undefined && !done[at]) {
      done[at] = 1;
      area += twice[at] as number;
      length += lengthMm[at] as number;
      seen += seenMm[at] as number;
      at = startsAt.get(to[at] as number);
    }
    // A line that does not come back to its start ends at an open border.
    if (at === first && area < 0) hidden = { lengthMm: length, seenMm: seen };
  }
  return hidden;
}
