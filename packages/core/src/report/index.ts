export { kitSchema, partName, summariseKit, isFit, type KitFit } from './kit-fit.ts';
export { reportSchema, type ReportData } from './page.ts';
export {
  byNews,
  scanOf,
  scanPart,
  scanPartSchema,
  scanSchema,
  unreadablePart,
  type Scan,
  type ScanOptions,
  type ScanPart,
} from './scan.ts';
export {
  splitReport,
  splitSchema,
  splitPartSchema,
  type SplitPart,
  type SplitReport,
} from './split.ts';
export {
  splitPart,
  failedSplit,
  type OutFile,
  type SplitPartOptions,
  type SplitPartResult,
} from './split-part.ts';
export {
  standPieces,
  standingPieceSchema,
  type StandingPiece,
  type StandOptions,
} from './on-plate.ts';
