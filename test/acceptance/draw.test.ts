import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PNG } from 'pngjs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { boxMesh, writeBinaryStl } from '../../packages/core/src/index.ts';
import { buildOnce, scantling } from './built.ts';

const cwd = mkdtempSync(join(tmpdir(), 'scantling-draw-'));
const env = { XDG_CACHE_HOME: join(cwd, 'cache'), HOME: cwd };
const run = (...args: string[]) => scantling(args, { cwd, env });

beforeAll(() => {
  buildOnce();
  writeFileSync(join(cwd, 'cube.stl'), writeBinaryStl(boxMesh([20, 20, 20])));
  writeFileSync(join(cwd, 'slab.stl'), writeBinaryStl(boxMesh([60, 40, 10])));
});
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

/** Directions of all straight strokes, degrees from 0 to 180. */
function angles(svg: string): Set<number> {
  const found = new Set<number>();
  // Paths run "M x y l dx dy dx dy ...": each pair after l is a stroke.
  for (const [, strokes] of svg.matchAll(/l((?:[ ,]?-?\d+(?:\.\d+)?)+)/g)) {
    const n = (strokes as string).match(/-?\d+(\.\d+)?/g)!.map(Number);
    for (let i = 0; i + 1 < n.length; i += 2)
      found.add(Math.round(((Math.atan2(n[i + 1]!, n[i]!) * 180) / Math.PI + 360) % 180));
  }
  return found;
}

describe('scantling draw', () => {
  it('draws a cube as ISO 5456-3 has it: edges upright and at 30 degrees to the level', () => {
    const { code, out, err } = run('draw', 'cube.stl', '--no-shade');
    expect(err).toBe('');
    expect(code).toBe(0);
    expect(out).toMatch(/^<svg /);
    expect([...angles(out)].sort((a, b) => a - b)).toEqual([30, 90, 150]);
  });

  it('writes PNG at the size that was asked for, dark lines on white', () => {
    const { code, err } = run('draw', 'slab.stl', '--view', 'top', '--size', '300', '-o', 'slab.png', '--no-shade'); // prettier-ignore
    expect(err).toBe('Wrote slab.png.\n');
    expect(code).toBe(0);
    const { width, height, data } = PNG.sync.read(readFileSync(join(cwd, 'slab.png')));
    // 60 x 40 mm seen from above: 292 x 194.7 px of drawing and 4 px of margin all round.
    expect(width).toBe(300);
    expect(Math.abs(height - 202.7)).toBeLessThan(1);
    const grey = (x: number, y: number): number => data[4 * (y * width + x)] as number;
    expect(grey(1, 1)).toBe(255);
    expect(grey(150, 100)).toBe(255);
    expect(Math.min(...[3, 4, 5].map((x) => grey(x, 100)))).toBeLessThan(120);
  });

  it('refuses in one line what it cannot do, and overwrites nothing unasked', () => {
    for (const args of [
      ['cube.stl', '-o', 'cube.bmp'],
      ['cube.stl', '--view', 'inside'],
      ['.', '--no-shade'],
      ['missing.stl'],
    ])
      expect(run('draw', ...args).code, args.join(' ')).not.toBe(0);
    writeFileSync(join(cwd, 'kept.svg'), 'mine');
    const { code, err } = run('draw', 'cube.stl', '-o', 'kept.svg');
    expect(code).not.toBe(0);
    expect(err.trimEnd().split('\n')).toHaveLength(1);
    expect(err).toContain('--force');
    expect(readFileSync(join(cwd, 'kept.svg'), 'utf8')).toBe('mine');
  });
});
