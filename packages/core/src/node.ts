/** The second entry, for Node only: finding and reading part files on disk. */
export * from './node/index.ts';
