import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  boxEnvelope,
  boxMesh,
  DEFAULT_ORIENT_SETTINGS,
  estimateSettingsSchema,
  joinMeshes,
  orientListSchema,
  type Mesh,
  type OrientList,
} from '@scantling/core';
import { orientCsv, orientText } from '../src/render/orient.ts';
import { styleFor } from '../src/render/style.ts';
import { parseClean } from '../src/split-values.ts';
import { start, type OrientEntry, type OrientSetup } from '../src/tasks/orient.ts';
import { runCommand } from '../src/program.ts';
import { testIo } from './testIo.ts';

function stl({ positions, triangles }: Mesh): Uint8Array {
  const count = triangles.length / 3;
  const view = new DataView(new ArrayBuffer(84 + 50 * count));
  view.setUint32(80, count, true);
  triangles.forEach((v, i) => {
    const offset = 84 + 50 * Math.floor(i / 3) + 12 + 12 * (i % 3);
    for (let k = 0; k < 3; k++)
      view.setFloat32(offset + 4 * k, positions[3 * v + k] as number, true);
  });
  return new Uint8Array(view.buffer);
}

const style = styleFor({ colour: false });
const cwd = mkdtempSync(join(tmpdir(), 'scantling-orient-'));
beforeAll(() => {
  const tee = joinMeshes([
    boxMesh([10, 10, 40], [-5, -5, 0]),
    boxMesh([60, 20, 5], [-30, -10, 40]),
  ]);
  writeFileSync(join(cwd, 'tee.stl'), stl(tee));
  const open = boxMesh([30, 20, 10]);
  writeFileSync(
    join(cwd, 'open.stl'),
    stl({ ...open, triangles: open.triangles.subarray(0, 3 * 10) }),
  );
});
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

/** What a worker answers to one file, on a machine without brim, purge or walls to count. */
async function entriesOf(
  file: string,
  size: readonly [number, number, number],
  asked: OrientSetup['asked'] = {},
): Promise<OrientList> {
  const setup: OrientSetup = {
    machines: [
      {
        envelope: boxEnvelope(...size),
        estimate: estimateSettingsSchema.parse({ infillShare: 1, purgeG: 0, supportShare: 0.5 }),
        orient: DEFAULT_ORIENT_SETTINGS,
      },
    ],
    materials: {},
    material: 'PLA',
    unit: null,
    asked,
  };
  const parts: readonly OrientEntry[] = await start(setup)({
    path: join(cwd, file),
    name: file,
    bytes: 0,
  });
  return { schema: 'scantling/orient-list@1', complete: true, parts: [...parts] };
}

describe('the ways up of a file', () => {
  it('say what the best one saves: supports, filament and hours', async () => {
    const list = await entriesOf('tee.stl', [220, 220, 250]);
    const text = orientText(list, 120, style);
    // 40 mm of air under a bar of 60 x 20 on a leg of 10 x 10: 44 cm3, none once it lies on the bar.
    expect(text.replace(/\s+/g, ' ')).toMatch(/Supports 44(\.\d)? -> 0 cm3, 225 layers, in 220x220x250;/);
    expect(text).toContain('best overall');
    const [part] = list.parts;
    // Full inside: (10 x 10 x 40 + 60 x 20 x 5) mm3 at 1.24 g/cm3; supports are half of their space.
    const solidG = (10 * 1.24);
    expect(part?.takes?.[0]?.massG).toBeCloseTo(solidG, 1);
    expect(part?.takes?.[0]?.supportsG).toBeCloseTo(0, 2);
    const supportsG = (44 * 0.5 * 1.24);
    expect((part?.asModelledTakes?.supportsG ?? 0) / supportsG).toBeCloseTo(1, 1);
    expect((part?.asModelledTakes?.massG ?? 0) / (solidG + supportsG)).toBeCloseTo(1, 1);
    const [best, before] = [part?.takes?.[0]?.hours, part?.asModelledTakes?.hours];
    expect(best?.likely).toBeGreaterThan(0);
    expect(best?.likely).toBeLessThan(before?.likely ?? 0);
    expect(best?.low).toBeLessThan(best?.high ?? 0);
  }); // prettier-ignore

  it('are JSON that the schema accepts, and CSV with a row each', async () => {
    const list = await entriesOf('tee.stl', [220, 220, 250], {
      load: [0, 0, 1],
      clean: { directions: [[0, 0, 1]], flatFromMm2: 500 },
    });
    const ways = orientListSchema.parse(JSON.parse(JSON.stringify(list))).parts[0]?.result?.ways;
    expect(ways?.length).toBeGreaterThan(0);
    expect(ways?.[0]?.supports.cleanTouchedMm2).not.toBeNull();
    const lines = orientCsv(list).trim().split('\n');
    expect(lines.length).toBe(1 + (ways?.length ?? 0));
    expect(new Set(lines.map((l) => l.split(',').length)).size).toBe(1);
  });

  it('of an open mesh have no mass and no hours', async () => {
    const [part] = (await entriesOf('open.stl', [220, 220, 250])).parts;
    expect(part?.result?.closed).toBe(false);
    expect(part?.result?.ways.length).toBeGreaterThan(0);
    expect([part?.takes, part?.asModelledTakes]).toEqual([null, null]);
  });

  it('are none, in words, where none has room', async () => {
    const list = await entriesOf('tee.stl', [20, 20, 20]);
    expect(list.parts[0]?.result?.ways).toEqual([]);
    expect(orientText(list, 120, style)).toContain('no way up has room in 20x20x20');
  });
});

describe('scantling orient', () => {
  const refused = async (...argv: string[]): Promise<string> => {
    const io = testIo({ cwd });
    expect(await runCommand(['orient', ...argv], io)).toBe(2);
    return io.err;
  };

  it('gathers the faces to keep clean', () => {
    const one = parseClean('-y');
    expect(one).toEqual({ directions: [[0, -1, 0]] });
    expect(parseClean('flat:20', one)).toEqual({ directions: [[0, -1, 0]], flatFromMm2: 2000 });
    for (const wrong of ['flat:', 'flat:0', 'flat:-3', 'flat:x', 'up', '0,0,0'])
      expect(() => parseClean(wrong)).toThrow();
  });

  it('refuses what is not there and what is not a number', async () => {
    expect(await refused('gone.stl', '-e', '20x20x20')).toContain('no such file or folder');
    expect(await refused('tee.stl', '-e', '20x20x20', '--clean', 'flat:0')).toContain('above 0');
  });
});
