export * from './envelope.ts';
