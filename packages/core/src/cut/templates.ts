import type { Joint } from '../join/index.ts';
import { sheetsPdf } from './pdf.ts';
import { sheetSvg } from './svg.ts';
import { A4_MM, drillTemplate, templatePages, templateSheet, type Paper } from './template.ts';
import type { Side } from './tools.ts';

export interface TemplateFile {
  readonly joint: string;
  readonly piece: string;
  /** One SVG of the whole face at 1:1. */
  readonly svg: string;
}

/**
 * Drilling templates for makers who drill by hand: for each joint one for either piece, mirrored
 * as the faces are. SVG singly; all of them in one PDF on A4 or Letter, tiled where a face is larger.
 * @param part name of the part, for the heads of the sheets
 */
export async function drillTemplates(
  joints: readonly Joint[],
  part: string,
  paper: Paper = A4_MM,
): Promise<{ readonly svgs: readonly TemplateFile[]; readonly pdf: Uint8Array }> {
  const both = joints.flatMap((joint) =>
    (['below', 'above'] as Side[]).map((side) => ({ joint, template: drillTemplate(joint, side) })),
  );
  const svgs = both.map(({ joint, template }) => ({
    joint: joint.id,
    piece: template.piece,
    svg: sheetSvg(templateSheet(template, joint, part)),
  }));
  const pages = both.flatMap(({ joint, template }) => templatePages(template, joint, part, paper));
  return { svgs, pdf: await sheetsPdf(pages, `${part}: drilling templates`) };
}
