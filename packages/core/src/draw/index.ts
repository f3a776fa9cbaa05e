export { project, viewFrom, VIEWS, type View, type ViewName } from './view.ts';
export { CREASE_DEG, drawableOf, movedDrawable, type Drawable } from './drawable.ts';
export {
  boundsInView,
  drawView,
  sparser,
  type DrawOptions,
  type LineKind,
  type PaperLine,
  type SpaceLine,
  type ViewDrawing,
} from './draw-view.ts';
export { washOf, type Wash } from './tone.ts';
export { viewSvg, viewBody, type SvgOptions } from './svg.ts';
export { base64 } from './png.ts';
export { simplifyMesh } from './simplify.ts';
export { checklistColumns, checklistSheets, type ChecklistSection } from './checklist.ts';
export { envelopeLines, plateOutline } from './frame-lines.ts';
