import { leastWall, type JoinSettings } from './settings.ts';
import { checkStock, stockName, type StockItem } from './stock.ts';

/** One way of using one kind of stock: its length and how it is shared between the pieces. */
export interface DowelOption {
  readonly item: StockItem;
  readonly name: string;
  readonly lengthMm: number;
  readonly holeRadiusMm: number;
  readonly wallMm: number;
  /** Depth of the hole in each piece, room for glue included, mm. */
  readonly belowMm: number;
  readonly aboveMm: number;
}

/**
 * All ways that keep the rule of depth, thickest first, then longest, then even before uneven.
 * Stock shorter than twice the least depth can't be used.
 * @throws ScantlingError `BAD_STOCK` for a size that its standard does not know
 */
export function dowelOptions(settings: JoinSettings): DowelOption[] {
  const options: DowelOption[] = [];
  for (const item of settings.stock) {
    checkStock(item);
    const d = item.diameterMm;
    const least = settings.depthPerDiameter * d;
    for (const [below, above] of shares(item.lengthMm, least, settings.cutDepthPerDiameter * d))
      options.push({
        item,
        name: stockName(item),
        lengthMm: below + above,
        holeRadiusMm: (d + settings.holeClearanceMm) / 2,
        wallMm: leastWall(settings, d),
        belowMm: below + settings.glueGapMm,
        aboveMm: above + settings.glueGapMm,
      });
  }
  return options.sort(
    (a, b) =>
      b.item.diameterMm - a.item.diameterMm ||
      b.lengthMm - a.lengthMm ||
      Math.abs(a.belowMm - a.aboveMm) - Math.abs(b.belowMm - b.aboveMm),
  );
}

function shares(fixed: number | null, least: number, wanted: number): [number, number][] {
  if (fixed === null) {
    const deep = Math.max(least, wanted);
    const all: [number, number][] = [
      [deep, deep],
      [(deep + least) / 2, (deep + least) / 2],
      [deep, least],
      [least, deep],
      [least, least],
    ];
    return deep > least ? all : [[least, least]];
  }
  if (fixed < 2 * least) return [];
  const half = fixed / 2;
  return half > least + 1e-9
    ? [
        [half, half],
        [least, fixed - least],
        [fixed - least, least],
      ]
    : [[half, half]];
}
