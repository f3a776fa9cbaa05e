import { ScantlingError } from '../errors.ts';

/**
 * What dowels are made of and sold as. One table; everything else refers to it by name.
 *
 * ISO 2338 (parallel pins, soft) and ISO 8734 (parallel pins, hardened): shortest and longest
 * length per diameter, and the series of lengths, from open tables of fasteners; both agree with a
 * maker's data sheet. DIN 68150 (fluted wooden dowels): 6 x 30, 8 x 35, 8 x 40 and 10 x 40 are the
 * sizes in every shop; the wider range 5-12 x 25-60 is from memory.
 */

export type Standard = 'ISO 2338' | 'ISO 8734' | 'DIN 68150' | 'rod' | 'tube' | 'filament';
export type DowelMaterial = 'steel' | 'wood' | 'plastic' | 'aluminium';

export interface LengthRange {
  readonly diameterMm: number;
  readonly shortestMm: number;
  readonly longestMm: number;
  /** Chamfer at both ends, mm. */
  readonly chamferMm: number;
}

const range = (
  diameterMm: number,
  shortestMm: number,
  longestMm: number,
  chamferMm: number,
): LengthRange => ({ diameterMm, shortestMm, longestMm, chamferMm });

export const ISO_2338: readonly LengthRange[] = [
  range(1.5, 4, 16, 0.3), range(2, 6, 20, 0.35), range(2.5, 6, 24, 0.4), range(3, 8, 30, 0.5),
  range(4, 8, 40, 0.63), range(5, 10, 50, 0.8), range(6, 12, 60, 1.2), range(8, 14, 80, 1.6),
  range(10, 18, 95, 2), range(12, 22, 140, 2.5), range(16, 26, 180, 3), range(20, 35, 200, 3.5),
]; // prettier-ignore

export const ISO_8734: readonly LengthRange[] = [
  range(1.5, 4, 16, 0.3), range(2, 5, 20, 0.35), range(2.5, 6, 24, 0.4), range(3, 8, 30, 0.5),
  range(4, 10, 40, 0.63), range(5, 12, 50, 0.8), range(6, 14, 60, 1.2), range(8, 18, 80, 1.6),
  range(10, 22, 100, 2), range(12, 26, 100, 2.5), range(16, 40, 100, 3), range(20, 50, 100, 3.5),
]; // prettier-ignore

/** Lengths in which ISO 2338 and ISO 8734 pins are made, mm. */
export const PIN_LENGTHS_MM: readonly number[] = [
  2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30, 32, 35, 40, 45, 50, 55, 60, 65, 70,
  75, 80, 85, 90, 95, 100, 120, 140, 160, 180, 200,
]; // prettier-ignore

/** Fluted wooden dowels: diameter and length range, mm (from memory beyond the common four). */
export const DIN_68150 = { diametersMm: [5, 12], lengthsMm: [25, 60] } as const;

/** 25.4 mm = 1 in, exact: the common outside diameter of a tube through a standing figure. */
export const INCH_TUBE_MM = 25.4;

/** Filament is sold as 1.75 mm; an offcut makes an alignment pin. Common practice, no source. */
export const FILAMENT_MM = 1.75;

/** One kind of dowel on the shelf. `lengthMm` null: sold by the length and cut to fit. */
export interface StockItem {
  readonly standard: Standard;
  readonly material: DowelMaterial;
  readonly diameterMm: number;
  readonly lengthMm: number | null;
  /** Pieces on hand; for stock that is cut, millimetres on hand. */
  readonly onHand: number;
}

/** How the item is written on a shopping list, e.g. `ISO 2338 - 4 x 30` or `rod 5 (cut)`. */
export function stockName(item: Pick<StockItem, 'standard' | 'diameterMm' | 'lengthMm'>): string {
  const size =
    item.lengthMm === null ? `${item.diameterMm} (cut)` : `${item.diameterMm} x ${item.lengthMm}`;
  return item.standard === 'ISO 2338' || item.standard === 'ISO 8734'
    ? `${item.standard} - ${size}`
    : `${item.standard} ${size}`;
}

/**
 * Checks an item against its standard's table.
 * @throws ScantlingError `BAD_STOCK` with the range that is made, for a size that is not sold.
 */
export function checkStock(item: StockItem): void {
  const refuse = (allowed: string): never => {
    throw new ScantlingError('BAD_STOCK', `${stockName(item)} is not made: ${allowed}.`, {
      remedy: 'Correct the size, or list it as rod with a fixed length.',
    });
  };
  if (item.standard === 'ISO 2338' || item.standard === 'ISO 8734') {
    const table = item.standard === 'ISO 2338' ? ISO_2338 : ISO_8734;
    const row = table.find((r) => r.diameterMm === item.diameterMm);
    if (!row) return refuse(`diameters are ${table.map((r) => r.diameterMm).join(', ')} mm`);
    const l = item.lengthMm;
    if (l === null || l < row.shortestMm || l > row.longestMm || !PIN_LENGTHS_MM.includes(l))
      return refuse(`lengths run in steps from ${row.shortestMm} to ${row.longestMm} mm`);
  } else if (item.standard === 'DIN 68150') {
    const [d0, d1] = DIN_68150.diametersMm;
    const [l0, l1] = DIN_68150.lengthsMm;
    const l = item.lengthMm;
    if (item.diameterMm < d0 || item.diameterMm > d1 || l === null || l < l0 || l > l1)
      return refuse(`wooden dowels are ${d0}-${d1} mm thick and ${l0}-${l1} mm long`);
  }
}
