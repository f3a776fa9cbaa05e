import { checkCancelled, type Context } from '../context.ts';
import type { Mesh } from '../mesh/index.ts';
import type { Kernel, Loops } from '../solid/index.ts';
import { integrate } from './integrate.ts';
import { LAYER_KEYS, layerAt, lengthOf, type Layer } from './layer.ts';
import { hoursWith } from './hours.ts';
import { extrusionSpeed, lineSectionMm2, metresOf, moveTimeS } from './material.ts';
import type { PartEstimate } from './schema.ts';
import type { EstimateSettings, Material } from './settings.ts';
import { slicesOf } from './slices.ts';

export interface PartOptions extends Context {
  /** Space under overhangs to be supported, mm3, in this orientation. Default 0. */
  readonly supportMm3?: number;
  /** Relative error allowed in the sums over layers. Default 0.005. */
  readonly precision?: number;
  /** Only the mass need be that exact; hours are rougher then. */
  readonly massOnly?: boolean;
}

/** A line of supports runs this far before it turns, mm (common practice, no source). */
const SUPPORT_LINE_MM = 15;
const MAX_SAMPLES = 240;
const MAX_JUMPS = 16;

/**
 * Filament and hours of one closed part, printed as it lies (Z up): layer sections at heights
 * chosen where the part changes, each taken apart into walls, skins and infill.
 * Returns null for a mesh whose sections do not close: it has no inside to weigh.
 * Speed, flow and overhead factors of the machine are taken into the hours.
 */
export function estimatePart(
  mesh: Mesh,
  settings: EstimateSettings,
  material: Material,
  kernel: Kernel,
  options: PartOptions = {},
): PartEstimate | null {
  const s = settings;
  const slices = slicesOf(mesh);
  const { bottomMm, topMm } = slices;
  const heightMm = topMm - bottomMm;
  if (!(heightMm > 0)) return null;
  let open = false;
  const f = (z: number): number[] => {
    checkCancelled(options);
    open ||= slices.at(z).open;
    const layer = open ? null : layerAt(slices, kernel.flat, s, z);
    const massMm2 = layer ? layer.wallMm2 + layer.skinMm2 + layer.infillMm2 : 0;
    return [massMm2, ...LAYER_KEYS.map((key) => layer?.[key] ?? 0)];
  };
  const jumps = slices.jumpsMm.slice(0, MAX_JUMPS);
  const breaks = [bottomMm, topMm, ...jumps.flatMap((z) => [z - s.skinMm, z, z + s.skinMm])];
  const inside = [...new Set(breaks)].filter((z) => z >= bottomMm && z <= topMm);
  const { values, samples, errorShare } = integrate(f, inside, options.precision ?? 0.005, s.layerHeightMm, MAX_SAMPLES, options.massOnly ? 1 : Infinity); // prettier-ignore
  if (open) return null;

  const sums = Object.fromEntries(
    LAYER_KEYS.map((key, i) => [key, values[i + 1]]),
  ) as unknown as Layer;
  const cm3 = (mm3: number): number => (mm3 / 1000) * material.densityGPerCm3;
  const lineMm2 = lineSectionMm2(s.lineWidthMm, s.layerHeightMm);
  const supportMm3 = (options.supportMm3 ?? 0) * s.supportShare;
  const brimMm3 = brimOf(slices.at(bottomMm + Math.min(s.layerHeightMm, heightMm) / 2).loops, s, kernel); // prettier-ignore
  const mass = {
    wallsG: cm3(sums.wallMm2),
    skinsG: cm3(sums.skinMm2),
    infillG: cm3(sums.infillMm2),
    supportsG: cm3(supportMm3),
    brimG: cm3(brimMm3),
    purgeG: s.purgeG,
  };
  const massG = Object.values(mass).reduce((a, b) => a + b, 0);

  const layers = Math.max(1, Math.ceil(heightMm / s.layerHeightMm - 1e-9));
  const perLayer = 1 / s.layerHeightMm;
  const extraMm = (supportMm3 + brimMm3) / lineMm2;
  const v = extrusionSpeed(s.infillSpeed, s.meltFlow, lineMm2);
  const extraS = (extraMm / SUPPORT_LINE_MM) * moveTimeS(SUPPORT_LINE_MM, v, s.acceleration);
  const limited = v < s.infillSpeed;
  const motionH = (sums.motionS * perLayer + (limited ? 0 : extraS)) / 3600;
  const flowH = (sums.flowS * perLayer + (limited ? extraS : 0)) / 3600;
  const overheadH = (sums.overheadS * perLayer + s.heatingS) / 3600;
  return {
    massG,
    mass,
    filamentM: metresOf(massG, material.densityGPerCm3, s.filamentMm),
    layers,
    heightMm,
    hours: hoursWith({ motionH, flowH, overheadH }, s),
    parts: { motionH, flowH, overheadH },
    sections: samples,
    integrationErrorShare: errorShare,
  };
}

/** Space of the brim: a band of its width around the first layer, one layer high. */
function brimOf(first: Loops, s: EstimateSettings, kernel: Kernel): number {
  if (s.brimMm <= 0 || lengthOf(first) === 0) return 0;
  const { flat } = kernel;
  return (flat.area(flat.offset(first, s.brimMm)) - flat.area(first)) * s.layerHeightMm;
}
