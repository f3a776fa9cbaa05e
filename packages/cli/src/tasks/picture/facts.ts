import {
  materialOf,
  quatToMatrix,
  rankOrientations,
  scaleMesh,
  transformMesh,
  weighPart,
  type MaterialsSettings,
  type Mesh,
  type OrientResult,
  type PartEstimate,
  type PrintingMachine,
  type ScanPart,
} from '@scantling/core';

export interface FactsSetup {
  readonly machines: readonly PrintingMachine[];
  readonly materials: MaterialsSettings;
}

export interface FactsWish {
  readonly scan: ScanPart;
  /** Known already: not worked out again. */
  readonly orient: OrientResult | null;
  readonly weighed: boolean;
  readonly material: string;
  readonly recipe: { readonly walls: number; readonly infillShare: number } | null;
  /** What one unit of the file is by the kit, where the scan had to take it as 1 mm. */
  readonly unitMm: number;
}

export interface Facts {
  readonly orient: OrientResult | null;
  readonly estimate: PartEstimate | null;
  /** Why there is no estimate. */
  readonly because: string | null;
}

/** Relative error allowed in sums over layers: far below the error of the estimate itself. */
const PRECISION = 0.05;

/**
 * Ways up and weight of a part where no result tells them. What fits nowhere is weighed as
 * modelled, in one piece and without supports.
 */
export async function factsOf(mesh: Mesh, wish: FactsWish, setup: FactsSetup): Promise<Facts> {
  const { scan } = wish;
  const machine = setup.machines.find((m) => m.envelope.name === scan.machine) ?? setup.machines[0];
  if (!machine) return { orient: wish.orient, estimate: null, because: 'no machine' };
  const fits = scan.verdict.startsWith('fits');
  const orient =
    wish.orient ??
    (fits ? rankOrientations(mesh, machine.envelope, { settings: machine.orient }) : null);
  if (wish.weighed) return { orient, estimate: null, because: null };
  const way = orient?.ways[0];
  const turned = way ? transformMesh(mesh, quatToMatrix(way.rotation), way.translationMm) : mesh;
  const real = wish.unitMm === 1 ? turned : scaleMesh(turned, wish.unitMm);
  const settings = { ...machine.estimate, ...wish.recipe };
  const estimate = await weighPart(real, settings, materialOf(wish.material, setup.materials), {
    precision: PRECISION,
    ...(way && { supportMm3: way.supports.volumeMm3 * wish.unitMm ** 3 }),
  });
  return { orient, estimate, because: estimate ? null : 'open mesh: it has no known inside to weigh' }; // prettier-ignore
}
