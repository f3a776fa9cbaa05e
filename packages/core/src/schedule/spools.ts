/** One print as the spool sees it. */
export interface SpoolUse {
  readonly print: number;
  readonly material: string;
  readonly massG: number;
  readonly startS: number;
  readonly endS: number;
}

export interface SpoolChange {
  readonly print: number;
  /** Share of the print that is done when the spool is empty, 0 to 1. */
  readonly atShare: number;
  readonly atS: number;
}

export interface SpoolSum {
  readonly material: string;
  readonly massG: number;
  readonly spools: number;
  readonly changes: readonly SpoolChange[];
}

/**
 * Walks one machine's prints in order and finds where each material's spool runs out, beginning
 * with a full one; filament is taken as used evenly over a print.
 * @param spoolG what a spool of a material holds, g
 * @param reserveShare share of each spool not counted on
 */
export function spoolWalk(
  uses: readonly SpoolUse[],
  spoolG: (material: string) => number,
  reserveShare: number,
): SpoolSum[] {
  const sums = new Map<string, { massG: number; changes: SpoolChange[] }>();
  for (const use of uses) {
    const sum = sums.get(use.material) ?? { massG: 0, changes: [] };
    sums.set(use.material, sum);
    const usable = spoolG(use.material) * (1 - reserveShare);
    const end = sum.massG + use.massG;
    for (let k = Math.floor(sum.massG / usable) + 1; k * usable < end - 1e-9; k++) {
      const atShare = Math.max(0, (k * usable - sum.massG) / use.massG);
      sum.changes.push({
        print: use.print,
        atShare,
        atS: use.startS + atShare * (use.endS - use.startS),
      });
    }
    sum.massG = end;
  }
  return [...sums].map(([material, { massG, changes }]) => ({
    material,
    massG,
    spools: spoolsFor(massG, spoolG(material), reserveShare),
    changes,
  }));
}

/** Spools that hold a mass with the reserve left on each. */
export const spoolsFor = (massG: number, spoolG: number, reserveShare: number): number =>
  Math.ceil(massG / (spoolG * (1 - reserveShare)) - 1e-9);
