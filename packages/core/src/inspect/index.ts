export { inspectPart } from './inspect.ts';
export { healthSchema, FINDING_CODES, type FindingCode, type Health } from './schema.ts';
export { findingWords, VERDICT_WORDS } from './words.ts';
