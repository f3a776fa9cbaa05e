export * from './envelope.ts';
export * from './check.ts';
export * from './text.ts';
