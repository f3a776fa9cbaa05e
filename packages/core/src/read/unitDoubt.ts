import type { Vec3 } from '../math/index.ts';
import { MM_PER_UNIT, type LengthUnit } from '../units.ts';

/**
 * STL and OBJ carry no unit, so what looks like 3 mm may be 3 in. The only evidence is size, and
 * the company a part keeps in its folder. Three rules, the surest first; nothing is rescaled here.
 *
 * - `twin`: another part of the folder has the same three sides times 25.4 (in), 1000 (m) or 10
 *   (cm), each within 0.1 %. Mirrored pairs and copies saved twice show themselves this way.
 * - `below-1`: the longest side is under 1 unit. As mm that is less than two lines of a common
 *   0.4 mm nozzle, and nobody prints such a part; it is metres (450 for 0.45), unless the folder is
 *   one of small numbers, then it is as likely inches.
 * - `small-folder`: no part of the folder reaches 20 units. As mm everything in it would be smaller
 *   than a matchbox, so the whole folder may be in inches. One part of 20 units or more, or one
 *   whose file states its unit, ends this doubt: a 3-unit pin among 150-unit parts is a pin.
 *
 * Thresholds: common practice, no source.
 */
export const UNIT_DOUBT_RULES = {
  belowUnits: 1,
  smallFolderUnits: 20,
  /** As metres a part beyond this is no desktop printer's. */
  longestMetres: 3,
  twinTolerance: 1e-3,
} as const;

export interface SizedPart {
  readonly name: string;
  /** Parts are compared with others of the same folder only. */
  readonly folder: string;
  /** Sides of the box, in the file's own numbers (divide by the factor applied when reading). */
  readonly size: Vec3;
  /** True where the file or the user states the unit: never doubted, and evidence for the others. */
  readonly unitKnown: boolean;
}

export interface UnitDoubt {
  readonly rule: 'twin' | 'below-1' | 'small-folder';
  /** The unit it looks like, most likely first. */
  readonly units: readonly LengthUnit[];
  /** Its box in mm if it is in the first of them. */
  readonly sizeMm: Vec3;
  /** The numbers that speak for it, one sentence. */
  readonly evidence: string;
}

/**
 * @param parts all parts of a scan; `size` in file units taken as mm unless `unitKnown`, then in mm
 * @returns one entry per part, null where there is no doubt
 */
export function unitDoubt(parts: readonly SizedPart[]): (UnitDoubt | null)[] {
  const folders = new Map<string, SizedPart[]>();
  for (const part of parts) {
    const mates = folders.get(part.folder);
    if (mates) mates.push(part);
    else folders.set(part.folder, [part]);
  }
  return parts.map((part) => {
    const longest = Math.max(...part.size);
    if (part.unitKnown || !(longest > 0) || !Number.isFinite(longest)) return null;
    const mates = folders.get(part.folder) as SizedPart[];
    return twin(part, mates) ?? small(part, longest, mates);
  });
}

function twin(part: SizedPart, mates: readonly SizedPart[]): UnitDoubt | null {
  const sides = sorted(part.size);
  // A flat or thread-like box has too few sides to compare.
  if (!(sides[0] > 0)) return null;
  for (const unit of ['in', 'm', 'cm'] as const) {
    const factor = MM_PER_UNIT[unit];
    const other = mates.find(
      (mate) =>
        mate !== part &&
        sorted(mate.size).every(
          (side, k) => Math.abs(side / ((sides[k] as number) * factor) - 1) <= UNIT_DOUBT_RULES.twinTolerance, // prettier-ignore
        ),
    );
    if (other)
      return doubt('twin', part, [unit], `its three sides times ${factor} are those of ${other.name}`); // prettier-ignore
  }
  return null;
}

function small(part: SizedPart, longest: number, mates: readonly SizedPart[]): UnitDoubt | null {
  const { belowUnits, smallFolderUnits, longestMetres } = UNIT_DOUBT_RULES;
  const lengths = mates.map((mate) => Math.max(...mate.size));
  const largest = Math.max(...lengths);
  const below = lengths.filter((l) => l < belowUnits).length;
  const smallNumbers = largest >= belowUnits && largest < smallFolderUnits && !mates.some((mate) => mate.unitKnown); // prettier-ignore
  if (!smallNumbers) {
    if (longest >= belowUnits) return null;
    const company = largest >= belowUnits ? `the folder's largest part has ${short(largest)}` : mates.length === 1 ? 'and it is alone in its folder' : `all ${mates.length} parts of the folder stay below ${short(largest)}`; // prettier-ignore
    return doubt('below-1', part, ['m'], `its longest side is ${inUnits(longest)}, ${company}`);
  }
  // Mostly below 1, and no longer than 3 m as metres: the folder reads best in metres.
  const metres = largest <= longestMetres && 2 * below > mates.length;
  const units: [LengthUnit, ...LengthUnit[]] = metres ? ['m', 'in'] : largest <= longestMetres ? ['in', 'm'] : ['in']; // prettier-ignore
  return doubt(
    longest < belowUnits ? 'below-1' : 'small-folder',
    part,
    units,
    mates.length === 1
      ? `its longest side is ${inUnits(longest)}, and it is alone in its folder`
      : `its longest side is ${inUnits(longest)}, and none of the folder's ${mates.length} parts exceeds ${short(largest)}`,
  );
}

function doubt(
  rule: UnitDoubt['rule'],
  part: SizedPart,
  units: readonly [LengthUnit, ...LengthUnit[]],
  evidence: string,
): UnitDoubt {
  const factor = MM_PER_UNIT[units[0]];
  const [x, y, z] = part.size;
  return { rule, units, sizeMm: [x * factor, y * factor, z * factor], evidence };
}

const sorted = (size: Vec3): [number, number, number] =>
  [...size].sort((a, b) => a - b) as [number, number, number];

const inUnits = (x: number): string => `${short(x)} ${x === 1 ? 'unit' : 'units'}`;

const short = (x: number): string => `${Number(x.toPrecision(3))}`;
