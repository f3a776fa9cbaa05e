import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildOnce, root } from './built.ts';

const folder = mkdtempSync(join(tmpdir(), 'scantling-pack-'));
const sh = (command: string, args: string[], cwd: string): string =>
  execFileSync(command, args, { cwd, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });

/** Packs one package as `npm publish` would; the tarball's path. */
function pack(name: 'core' | 'cli'): string {
  const lines = sh(
    'npm',
    ['pack', '--silent', '--pack-destination', folder],
    `${root}packages/${name}`,
  );
  return join(folder, lines.trim().split('\n').at(-1) ?? '');
}

const filesOf = (name: string): string[] =>
  readdirSync(join(folder, 'node_modules/@scantling', name), {
    recursive: true,
    encoding: 'utf8',
  }).filter((file) => !file.startsWith('node_modules'));

describe('the packed packages, in an empty folder', () => {
  let files: { core: string[]; cli: string[] };
  beforeAll(() => {
    buildOnce();
    const quiet = ['--prefer-offline', '--no-audit', '--no-fund', '--silent'];
    sh('npm', ['install', ...quiet, pack('core'), pack('cli')], folder);
    files = { core: filesOf('core'), cli: filesOf('cli') };
  });
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  it('hold code, types and schemas, and no sources or tests', () => {
    expect(files.core).toEqual(
      expect.arrayContaining([
        'dist/index.js',
        'dist/index.d.ts',
        'dist/node.js',
        'schema/scan@1.json',
      ]),
    );
    expect(files.cli).toEqual(expect.arrayContaining(['dist/main.js', 'dist/worker.js']));
    const stray = [...files.core, ...files.cli].filter(
      (name) => /(^|\/)(src|test|bench)\//.test(name) || /(?<!\.d)\.ts$/.test(name),
    );
    expect(stray.filter((name) => !name.startsWith('schema/'))).toEqual([]);
  });

  it('run as a library', () => {
    const script = `import { parseEnvelope } from '@scantling/core';
      import * as node from '@scantling/core/node';
      console.log(parseEnvelope('1x2x3').heightMm, typeof node);`;
    expect(sh('node', ['--input-type=module', '-e', script], folder)).toBe('3 object\n');
  });

  it('run as a command', () => {
    const main = 'node_modules/.bin/scantling';
    expect(readFileSync(join(folder, main), 'utf8')).toMatch(/^#!\/usr\/bin\/env node\n/);
    expect(sh('node', [main, '--version'], folder)).toMatch(/^\d+\.\d+\.\d+\n$/);
    expect(sh('node', [main, 'init'], folder)).toContain('Wrote workshop.yaml');
    expect(readdirSync(folder)).toContain('workshop.yaml');
  });
});
