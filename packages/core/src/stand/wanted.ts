import { radians } from '../units.ts';
import type { Vec3 } from '../math/index.ts';
import type { Balance } from './schema.ts';
import { tipOf, together, type Foot, type Mass } from './tip.ts';

/** A low part that may be made heavier, as it is now and as it could be. */
export interface LowPart {
  readonly massG: number;
  readonly at: Vec3;
  /** When solid, g. */
  readonly solidG: number;
  /** The infill now: its mass, g, and its share; more infill is heavier in proportion. */
  readonly infillG: number;
  readonly infillShare: number;
  /** What the part weighs with so many walls, g, walls rising. */
  readonly byWalls: readonly { readonly walls: number; readonly massG: number }[];
}

/**
 * What reaches a tip angle: mass spread over the low parts by the room they have, one infill share
 * for all of them, one number of walls, or ballast at `ballastAt`. Each is the least that does.
 */
export function wantedOf(
  angleDeg: number,
  foot: Foot,
  all: Mass,
  low: readonly LowPart[],
  ballastAt: Vec3,
): NonNullable<Balance['wanted']> {
  const goal = radians(angleDeg);
  const reaches = (more: readonly Mass[]): boolean => tipOf(foot, together([all, ...more]).at).angle >= goal; // prettier-ignore
  const room = low.map((p) => Math.max(0, p.solidG - p.massG));
  const roomG = room.reduce((a, b) => a + b, 0);
  const spread = (g: number): Mass[] => low.map((p, i) => ({ g: roomG > 0 ? (g * (room[i] as number)) / roomG : 0, at: p.at })); // prettier-ignore
  const filled = (share: number): Mass[] =>
    low.map((p) => ({
      g: p.infillShare > 0 ? (p.infillG / p.infillShare) * Math.max(0, share - p.infillShare) : 0,
      at: p.at,
    }));
  const walled = (walls: number): Mass[] =>
    low.map((p) => ({ g: Math.max(0, (p.byWalls.findLast((w) => w.walls <= walls)?.massG ?? p.massG) - p.massG), at: p.at })); // prettier-ignore
  const walls = [...new Set(low.flatMap((p) => p.byWalls.map((w) => w.walls)))].sort((a, b) => a - b); // prettier-ignore
  return {
    angleDeg,
    lowPartsG: least((g) => reaches(spread(g)), roomG),
    lowPartsRoomG: roomG,
    lowPartsInfill: low.length > 0 ? least((share) => reaches(filled(share)), 1) : null,
    wallsTried: walls,
    lowPartsWalls: reaches([]) ? null : (walls.find((n) => reaches(walled(n))) ?? null),
    ballastG: least((g) => reaches([{ g, at: ballastAt }]), 100 * all.g),
  };
}

/** Most lines in a wall that are tried: as many as the settings take. */
export const MOST_WALLS = 50;

/**
 * Which number of walls to weigh next, to find by halving the least one that reaches the angle, as
 * it is the heavier the more walls there are; null when it is found, or when it is not to be had.
 * @param ownWalls the fewest that a low part has now
 */
export function wallsToTry(
  { lowPartsG, lowPartsRoomG, lowPartsWalls, wallsTried }: NonNullable<Balance['wanted']>,
  ownWalls: number,
): number | null {
  if (lowPartsG === 0 || lowPartsG === null || lowPartsRoomG === 0) return null;
  if (wallsTried.length === 0) return ownWalls < MOST_WALLS ? MOST_WALLS : null;
  if (lowPartsWalls === null) return null;
  const below = Math.max(ownWalls, ...wallsTried.filter((n) => n < lowPartsWalls));
  return lowPartsWalls - below > 1 ? Math.floor((lowPartsWalls + below) / 2) : null;
}

/** The least amount up to `most` that is enough; null when none is. More never is less enough. */
function least(enough: (amount: number) => boolean, most: number): number | null {
  if (enough(0)) return 0;
  if (!enough(most)) return null;
  let [lo, hi] = [0, most];
  for (let i = 0; i < 60; i++) {
    const mid = (lo + hi) / 2;
    if (enough(mid)) hi = mid;
    else lo = mid;
  }
  return hi;
}
