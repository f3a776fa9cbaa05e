import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { boxMesh, joinMeshes, orientListSchema, type Mesh } from '@scantling/core';
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

describe('scantling orient', () => {
  let cwd = '';
  beforeAll(() => {
    cwd = mkdtempSync(join(tmpdir(), 'scantling-orient-'));
    const tee = joinMeshes([
      boxMesh([10, 10, 40], [-5, -5, 0]),
      boxMesh([60, 20, 5], [-30, -10, 40]),
    ]);
    writeFileSync(join(cwd, 'tee.stl'), stl(tee));
  });
  const run = async (...argv: string[]) => {
    const io = testIo({ cwd });
    const code = await runCommand(['orient', ...argv], io);
    return { code, out: io.out, err: io.err };
  };

  it('says what the best way up saves, in a table', async () => {
    const { code, out } = await run('tee.stl', '-e', '220x220x250');
    expect(code).toBe(0);
    // 40 mm of air under the bar: 44 cm3, none once it lies on the bar.
    expect(out).toMatch(/Supports 44(\.\d)? -> 0 cm3, 225 layers, in 220x220x250\./);
    expect(out).toContain('best overall');
  });

  it('gives JSON that its schema accepts and CSV with a row per way up', async () => {
    const json = await run('tee.stl', '-e', '220x220x250', '--json', '--load', 'z', '--clean', '0,0,1');
    const list = orientListSchema.parse(JSON.parse(json.out));
    const ways = list.parts[0]?.result?.ways ?? [];
    expect(ways.length).toBeGreaterThan(0);
    expect(ways[0]?.supports.cleanTouchedMm2).not.toBeNull();
    const { out } = await run('tee.stl', '-e', '220x220x250', '--csv', '-n', '2');
    const lines = out.trim().split('\n');
    expect(lines.length).toBeLessThanOrEqual(3);
    expect(new Set(lines.map((l) => l.split(',').length)).size).toBe(1);
  }); // prettier-ignore

  it('ends with 1 where no way up has room, and with 2 for a wrong request', async () => {
    const tight = await run('tee.stl', '-e', '20x20x20');
    expect(tight.code).toBe(1);
    expect(tight.out).toContain('no way up has room in 20x20x20');
    const gone = await run('gone.stl', '-e', '20x20x20');
    expect(gone.code).toBe(2);
    expect(gone.err).toContain('no such file or folder');
  });
});
