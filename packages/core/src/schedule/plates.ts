import type { HoursModel } from '../estimate/index.ts';
import type { Envelope } from '../envelope/index.ts';
import type { Quat, Vec3 } from '../math/index.ts';
import type { Convex } from '../hull/index.ts';
import { nest, type PlacedFootprint } from './nest.ts';
import type { ScheduleSettings } from './settings.ts';

export interface Hours3 {
  readonly lowH: number;
  readonly likelyH: number;
  readonly highH: number;
}

/** One body to print: a part of the kit, or one of its copies. */
export interface PlanPiece {
  readonly id: string;
  readonly group: string | null;
  readonly material: string;
  readonly massG: number;
  /** Per machine by name; a machine that is missing here cannot print the piece. */
  readonly on: Readonly<Record<string, PieceOn>>;
}

/** A piece on one machine. */
export interface PieceOn {
  readonly hours: Hours3;
  /** Its shadow on the plate as it stands there alone, mm; null: not known. */
  readonly footprintMm: Convex | null;
  /** How it stands there alone: p_plate = R(rotation) p_part + translationMm. */
  readonly placement?: { readonly rotation: Quat; readonly translationMm: Vec3 };
}

export interface PlanMachine {
  readonly name: string;
  readonly envelope: Envelope;
  /** Heating and preparing inside every print's hours, h; counted once for a shared plate. */
  readonly heatingH: number;
  /** How its hours were computed; only told in the plan. */
  readonly hoursModel?: HoursModel | undefined;
}

/** What is printed in one go. */
export interface PlateLoad {
  readonly pieces: readonly PlanPiece[];
  readonly on: Readonly<
    Record<string, { readonly hours: Hours3; readonly layout: readonly PlacedFootprint[] | null }>
  >;
}

/** Every piece on a plate of its own, in the order given. */
export const singlePlates = (pieces: readonly PlanPiece[]): PlateLoad[] =>
  pieces.map((p) => ({
    pieces: [p],
    on: Object.fromEntries(
      Object.entries(p.on).map(([name, on]) => [name, { hours: on.hours, layout: null }]),
    ),
  }));

/**
 * Short pieces of one group and material laid together on plates, longest first, as long as the
 * plate stays within the longest shared plate and everything finds a place on every machine that
 * could print it. Pieces without a footprint, and long ones, stay alone.
 */
export function sharedPlates(
  pieces: readonly PlanPiece[],
  machines: readonly PlanMachine[],
  settings: ScheduleSettings,
): PlateLoad[] {
  const likely = (p: PlanPiece): number =>
    Math.min(...Object.values(p.on).map((on) => on.hours.likelyH));
  const mayShare = (p: PlanPiece): boolean =>
    likely(p) < settings.shareBelowH && Object.values(p.on).every((on) => on.footprintMm !== null);
  const bySet = new Map<string, PlanPiece[]>();
  for (const p of pieces.filter(mayShare)) {
    const key = JSON.stringify([p.group, p.material, Object.keys(p.on).sort()]);
    bySet.set(key, [...(bySet.get(key) ?? []), p]);
  }
  const loads: PlateLoad[] = [];
  for (const set of bySet.values()) {
    const open: PlateLoad[] = [];
    for (const piece of [...set].sort((a, b) => likely(b) - likely(a))) {
      let joined: PlateLoad | null = null;
      for (let i = 0; i < open.length && !joined; i++) {
        joined = join(open[i] as PlateLoad, piece, machines, settings);
        if (joined) open[i] = joined;
      }
      if (!joined) open.push(...singlePlates([piece]));
    }
    loads.push(...open);
  }
  const place = new Map(pieces.map((p, i) => [p, i]));
  const first = (l: PlateLoad): number => Math.min(...l.pieces.map((p) => place.get(p) ?? 0));
  return [...loads, ...singlePlates(pieces.filter((p) => !mayShare(p)))].sort(
    (a, b) => first(a) - first(b),
  );
}

function join(
  load: PlateLoad,
  piece: PlanPiece,
  machines: readonly PlanMachine[],
  settings: ScheduleSettings,
): PlateLoad | null {
  const pieces = [...load.pieces, piece];
  const on: Record<string, { hours: Hours3; layout: readonly PlacedFootprint[] | null }> = {};
  for (const machine of machines) {
    const before = load.on[machine.name];
    const own = piece.on[machine.name];
    if (!before || !own) continue;
    const add = (key: keyof Hours3): number =>
      before.hours[key] + Math.max(0, own.hours[key] - machine.heatingH);
    const hours = { lowH: add('lowH'), likelyH: add('likelyH'), highH: add('highH') };
    if (hours.likelyH > settings.sharedPlateMaxH) return null;
    const layout = nest(
      pieces.map((p) => p.on[machine.name]?.footprintMm ?? []),
      machine.envelope,
      settings.plateGapMm,
    );
    if (!layout) return null;
    on[machine.name] = { hours, layout };
  }
  return Object.keys(on).length > 0 ? { pieces, on } : null;
}
