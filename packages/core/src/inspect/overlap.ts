import type { Mesh } from '../mesh/index.ts';
import { boxesMeet, sides, type Shell } from './shellRoles.ts';

/** Two bodies that share space: one lies in the other, or their surfaces cross. */
export interface Overlap {
  readonly shells: readonly [number, number];
  readonly how: 'nested' | 'crossing';
}

export interface Overlaps {
  readonly found: readonly Overlap[];
  /** False when there were too many pairs to look at all of them. */
  readonly complete: boolean;
}

/** Facets looked at before the check stops: some seconds of work at worst. */
const WORK = 1.5e8;
const ASKED = 12;
/** Points asked per facet sampled. */
const POINTS = 2;

/**
 * Bodies that share space. A test by samples: corners and middles of some facets of each are asked
 * which side of the other they lie on. It finds what it reports, but bodies that cross only
 * between the samples pass unseen; a shell that crosses itself is not looked for.
 */
export function overlappingShells(mesh: Mesh, shells: readonly Shell[]): Overlaps {
  const found: Overlap[] = [];
  let work = 0;
  const bodies = shells
    .map((shell, i) => ({ ...shell, i }))
    .filter((s) => s.role === 'body')
    .sort((a, b) => a.box.min[0] - b.box.min[0]);
  for (let i = 0; i < bodies.length; i++) {
    const a = bodies[i] as (typeof bodies)[number];
    for (let j = i + 1; j < bodies.length; j++) {
      const b = bodies[j] as (typeof bodies)[number];
      if (b.box.min[0] >= a.box.max[0]) break;
      if (!boxesMeet(a.box, b.box)) continue;
      work += POINTS * ASKED * (a.facets.length + b.facets.length);
      if (work > WORK) return { found, complete: false };
      const ab = sides(mesh, a.facets, b.facets, ASKED);
      const ba = sides(mesh, b.facets, a.facets, ASKED);
      if (ab.inside + ba.inside === 0) continue;
      // A body in the hollow of another is in its outer shell, and in the void as well.
      const host = ba.inside > 0 ? a : b;
      const guest = host === a ? b : a;
      const hollow = shells.some(
        (s) => s.role === 'void' && s.within === host.i && inVoid(mesh, guest.facets, s.facets),
      );
      if (hollow) continue;
      const nested = (ab.inside > 0 && ab.outside === 0) || (ba.inside > 0 && ba.outside === 0);
      const shellPair = [Math.min(a.i, b.i), Math.max(a.i, b.i)] as const;
      found.push({ shells: shellPair, how: nested ? 'nested' : 'crossing' });
    }
  }
  return { found, complete: true };
}

function inVoid(mesh: Mesh, guest: Uint32Array, empty: Uint32Array): boolean {
  const { inside, outside } = sides(mesh, guest, empty, ASKED);
  return inside > 0 && outside === 0;
}

/** Whether any two bodies could share space, by their boxes alone. */
export function bodiesMayMeet(shells: readonly Shell[]): boolean {
  const bodies = shells
    .filter((shell) => shell.role === 'body')
    .sort((a, b) => a.box.min[0] - b.box.min[0]);
  return bodies.some((a, i) => {
    for (let j = i + 1; j < bodies.length; j++) {
      const b = bodies[j] as Shell;
      if (b.box.min[0] >= a.box.max[0]) return false;
      if (boxesMeet(a.box, b.box)) return true;
    }
    return false;
  });
}
