import { hoursModelOf } from './fit.ts';
import { materialOf, metresOf } from './material.ts';
import type { Estimate, HoursModel } from './schema.ts';
import type { EstimateSettings, MaterialsSettings } from './settings.ts';

/** Parts on one machine with their sums: filament, metres and full spools per material, hours. */
export function estimateOf(
  machine: string,
  settings: EstimateSettings,
  parts: Estimate['parts'],
  materials: MaterialsSettings,
  spoolReserveShare: number,
  hoursModel: HoursModel = hoursModelOf(settings, []).model,
): Estimate {
  const byMaterial = new Map<string, number>();
  let hours = 0;
  for (const { estimate, quantity, material } of parts) {
    if (!estimate) continue;
    byMaterial.set(material, (byMaterial.get(material) ?? 0) + quantity * estimate.massG);
    hours += quantity * estimate.hours.likely;
  }
  return {
    schema: 'scantling/estimate@1',
    machine,
    hoursModel,
    parts,
    total: {
      massG: [...byMaterial.values()].reduce((a, b) => a + b, 0),
      hours,
      spools: [...byMaterial].map(([name, massG]) => {
        const { densityGPerCm3, spoolG } = materialOf(name, materials);
        const spools = Math.ceil(massG / (spoolG * (1 - spoolReserveShare)) - 1e-9);
        return { material: name, massG, metres: metresOf(massG, densityGPerCm3, settings.filamentMm), spools }; // prettier-ignore
      }),
    },
  };
}
