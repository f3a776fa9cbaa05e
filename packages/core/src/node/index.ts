export { readPartsFromFile, MOST_PACKAGE_BYTES } from './files.ts';
export { findPartFiles, PART_ENDINGS, type FoundFiles } from './walk.ts';
