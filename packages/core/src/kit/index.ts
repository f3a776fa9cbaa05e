export * from './log.ts';
export * from './schema.ts';
export { otherSide, type Likeness } from './alike.ts';
export { parseKit, pieceNames, updateKit, type FoundPart, type KitUpdate } from './file.ts';
export { readyAlike } from './ready-alike.ts';
export { surveyKit, type SurveyedPart } from './survey.ts';
