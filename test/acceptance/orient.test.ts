import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Ajv2020, type AnySchemaObject } from 'ajv/dist/2020.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  boundsOf,
  massProperties,
  readParts,
  type OrientList,
  type SplitReport,
} from '../../packages/core/src/index.ts';
import { buildOnce, root, scantling } from './built.ts';

const cwd = mkdtempSync(join(tmpdir(), 'scantling-ways-'));
const run = (...args: string[]) =>
  scantling(args, { cwd, env: { XDG_CACHE_HOME: join(cwd, 'cache'), HOME: cwd } });
const schemaOf = (name: string) =>
  new Ajv2020().compile(
    JSON.parse(readFileSync(`${root}packages/core/schema/${name}.json`, 'utf8')) as AnySchemaObject,
  );

beforeAll(() => {
  buildOnce();
  mkdirSync(join(cwd, 'kit'));
  // Two sound parts and one cut short.
  for (const name of ['lantern-panel', 'coat-button', 'gas-key'])
    cpSync(`${root}fixtures/lamplighter/${name}.stl`, join(cwd, `kit/${name}.stl`));
});
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

describe('scantling orient', () => {
  it('ranks the parts of a folder, names the broken one and ends with 1', () => {
    const { code, out, err } = run('orient', 'kit', '-e', '220x220x250');
    expect([code, err]).toEqual([1, '']);
    const heads = ['kit/coat-button.stl', 'kit/gas-key.stl', 'kit/lantern-panel.stl'];
    expect(out.match(/^kit\/[\w-]+\.stl$/gm)).toEqual(heads);
    expect(out).toMatch(/kit\/gas-key\.stl, byte 62390: The header claims 2078 facets/);
    const line = out.replace(/\s+/g, ' ');
    expect(line.match(/Supports [\d.]+ -> [\d.]+ cm3/g)?.length).toBe(2);
    expect(line.match(/About [^A]*? g of PLA and /g)?.length).toBe(2);
  });

  it('gives JSON that holds to the published schema, the same bytes from one thread and two', () => {
    const ask = ['orient', 'kit', '-e', '220x220x250', '--clean', 'flat:2', '--json'];
    const [one, two] = [run(...ask, '-j', '1'), run(...ask, '-j', '2')];
    expect(two).toEqual(one);
    const list = JSON.parse(one.out) as OrientList;
    const validate = schemaOf('orient-list@1');
    expect(validate(list), JSON.stringify(validate.errors)).toBe(true);
    expect(list.complete).toBe(true);
    const known = list.parts.filter((part) => part.result);
    expect(known.length).toBe(2);
    for (const { result, takes } of known) {
      expect(result?.ways[0]?.bestAt).toContain('best overall');
      expect(result?.ways[0]?.supports.cleanTouchedMm2).not.toBeNull();
      expect(takes?.length).toBe(result?.ways.length);
    }
    expect(list.parts.find((part) => part.error)?.error?.code).toBeTypeOf('string');
  });
});

describe('scantling split --on-plate', () => {
  it('writes pieces that stand on their plate, as the report says, and lose no volume', () => {
    const file = `${root}fixtures/lamplighter/hat-feather.stl`;
    const whole = massProperties(readParts(readFileSync(file))[0]?.mesh ?? fail()).volumeMm3;
    const { code, out } = run('split', file, '-e', '150x150x150', '-o', 'out', '--on-plate', '--no-marks', '--json'); // prettier-ignore
    expect(code).toBe(0);
    const report = JSON.parse(out) as SplitReport;
    const validate = schemaOf('split@1');
    expect(validate(report), JSON.stringify(validate.errors)).toBe(true);
    const told = report.parts[0]?.files?.onPlate ?? [];
    expect(told.length).toBeGreaterThan(1);
    const written = readdirSync(join(cwd, 'out'), { recursive: true }).map(String);
    let sum = 0;
    for (const { piece } of told) {
      const name = written.find((f) => f.endsWith(`.piece-${piece}.stl`)) ?? '';
      const { mesh } = readParts(readFileSync(join(cwd, 'out', name)))[0] ?? fail();
      const { min, max } = boundsOf(mesh.positions);
      expect(Math.abs(min[2])).toBeLessThan(1e-4);
      expect(max[2]).toBeLessThan(150 + 1e-4);
      for (const k of [0, 1] as const) expect(Math.max(-min[k], max[k])).toBeLessThan(75 + 1e-4);
      expect(written).toContain(name.replace(/stl$/, '3mf'));
      sum += massProperties(mesh).volumeMm3;
    }
    // Bores for dowels take some away, nothing adds any.
    expect(sum / whole).toBeLessThan(1 + 1e-5);
    expect(sum / whole).toBeGreaterThan(0.9);
  });
});

const fail = (): never => {
  throw new Error('no mesh');
};
