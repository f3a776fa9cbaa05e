import type { SplitReport } from '@scantling/core';
import { csv } from './csv.ts';

/** The cuts of every part's first plan, one row each: raw numbers, mm and degrees. */
export const splitCsv = (report: SplitReport): string =>
  csv(
    [
      'file', 'part', 'cut', 'plane', 'normal_x', 'normal_y', 'normal_z', 'offset_mm',
      'turn_x_deg', 'turn_y_deg', 'turn_z_deg', 'height_mm', 'below', 'above',
      'seam_mm', 'area_mm2', 'section_modulus_mm3', 'regions',
    ],
    report.parts.flatMap(({ file, part, plans: [plan] }) =>
      (plan?.cuts ?? []).map((cut) => {
        const plane = plan?.planes.find((p) => p.id === cut.plane);
        return [
          file,
          part,
          cut.id,
          cut.plane,
          ...(plane?.normal ?? [null, null, null]),
          plane?.offsetMm,
          ...cut.turnsDeg,
          cut.heightMm,
          cut.below.join(' '),
          cut.above.join(' '),
          cut.seam.lengthMm,
          cut.seam.areaMm2,
          cut.seam.sectionModulusMm3,
          cut.seam.regions,
        ];
      }),
    ),
  ); // prettier-ignore
