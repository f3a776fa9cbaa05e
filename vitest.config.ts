import { defineConfig } from 'vitest/config';

const source = '@scantling/source';

export default defineConfig({
  resolve: { conditions: [source] },
  ssr: { resolve: { conditions: [source, 'node', 'import', 'module', 'default'] } },
  test: {
    include: ['packages/*/test/**/*.test.ts', 'test/**/*.test.ts'],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    maxWorkers: 2,
  },
});
