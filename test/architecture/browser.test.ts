import { build } from 'esbuild';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const entry = fileURLToPath(new URL('../../packages/core/src/index.ts', import.meta.url));

/** What esbuild pulls in for a browser, and every module it had to leave outside. */
async function bundle(file: string) {
  const outside = new Set<string>();
  const result = await build({
    entryPoints: [file],
    bundle: true,
    write: false,
    metafile: true,
    format: 'esm',
    platform: 'browser',
    logLevel: 'silent',
    plugins: [
      {
        name: 'note Node modules',
        setup(b) {
          b.onResolve(
            { filter: /^(node:|module$|fs$|path$|url$|crypto$|worker_threads$)/ },
            (at) => {
              outside.add(`${at.importer.replace(/.*\/node_modules\//, '')} wants ${at.path}`);
              return { path: at.path, external: true };
            },
          );
        },
      },
    ],
  });
  return { outside: [...outside], inputs: Object.keys(result.metafile.inputs) };
}

describe('the main entry of core', () => {
  it('bundles for a browser without any module of Node', async () => {
    const { outside, inputs } = await bundle(entry);
    expect(inputs.length).toBeGreaterThan(20);
    // The solid kernel's loader asks for `module` behind a check that it runs in Node.
    expect(outside.filter((line) => !line.startsWith('manifold-3d/manifold.js'))).toEqual([]);
  });
});
