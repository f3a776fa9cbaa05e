export { planJoints, type JointsOptions } from './joints.ts';
export {
  cutPieces,
  VOLUME_TOLERANCE,
  type CutOptions,
  type CutPiece,
  type CutResult,
  type CutVolumes,
} from './pieces.ts';
export {
  checkPiece,
  roomOf,
  surfaceOf,
  COAXIAL_MM,
  type HoleCheck,
  type PieceCheck,
} from './check.ts';
export { planesMesh } from './planes.ts';
export { rankBySupports, type SupportRankOptions } from './supports.ts';
export { strokeText } from './strokes.ts';
export { markText } from './tools.ts';
export { drillTemplates, type TemplateFile } from './templates.ts';
export {
  A4_MM,
  drillTemplate,
  LETTER_MM,
  templatePages,
  templateSheet,
  type Paper,
  type Template,
} from './template.ts';
export { sheetSvg } from './svg.ts';
export { sheetsPdf, POINTS_PER_MM } from './pdf.ts';
export { checkBar, CHECK_BAR_MM, LETTER_ADVANCE, lettering, segment } from './drawing.ts';
export type { Drawing, Layer, Sheet, Stroke } from './drawing.ts';
export {
  CUT_CAUTIONS,
  cutSheet,
  cutSheetSchema,
  shoppingItemSchema,
  shoppingList,
  type CutSheet,
  type ShoppingItem,
} from './sheet.ts';
export { prepareForCut, type Prepared } from './prepare.ts';
