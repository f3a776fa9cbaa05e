import { mkdtempSync, readdirSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { cacheFolder, cacheKey, readCache, sweepCache, writeCache } from '../src/cache.ts';

let folder: string;
beforeEach(() => (folder = mkdtempSync(join(tmpdir(), 'scantling-cache-'))));
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const files = (): string[] =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .map((name) => join(folder, name))
    .filter((path) => statSync(path).isFile());

describe('the cache', () => {
  it('lies where the XDG specification says; a relative path there is ignored', () => {
    expect(cacheFolder({ XDG_CACHE_HOME: '/x', HOME: '/h' })).toBe('/x/scantling');
    expect(cacheFolder({ XDG_CACHE_HOME: 'x', HOME: '/h' })).toBe('/h/.cache/scantling');
    expect(cacheFolder({ HOME: '/h' })).toBe('/h/.cache/scantling');
  });

  it('gives back what was kept for the same content and settings only', async () => {
    const key = cacheKey('abc', { precision: 0.001 });
    expect(await readCache(folder, key)).toBeUndefined();
    await writeCache(folder, key, [1, { a: null }]);
    expect(await readCache(folder, key)).toEqual([1, { a: null }]);
    expect(await readCache(folder, cacheKey('abc', { precision: 0.002 }))).toBeUndefined();
    expect(await readCache(folder, cacheKey('abd', { precision: 0.001 }))).toBeUndefined();
  });

  it('takes a damaged entry, or one under a wrong name, for none', async () => {
    const [a, b] = [cacheKey('a', 0), cacheKey('b', 0)];
    await writeCache(folder, a, 'long value '.repeat(50));
    const [file = ''] = files();
    writeFileSync(file, '{"key":"');
    expect(await readCache(folder, a)).toBeUndefined();
    await writeCache(folder, a, 1);
    writeFileSync(file, JSON.stringify({ key: b, value: 2 }));
    expect(await readCache(folder, a)).toBeUndefined();
  });

  it('is safe for runs that write the same entry at once', async () => {
    const key = cacheKey('same', 0);
    const value = 'x'.repeat(20_000);
    let torn = 0;
    await Promise.all([
      ...Array.from({ length: 40 }, () => writeCache(folder, key, value)),
      ...Array.from({ length: 40 }, async () => {
        const seen = await readCache(folder, key);
        if (seen !== undefined && seen !== value) torn++;
      }),
    ]);
    expect(torn).toBe(0);
    expect(await readCache(folder, key)).toBe(value);
    expect(files()).toHaveLength(1);
  });

  it('drops what was used longest ago once it is over its bound, and leftovers of killed runs', async () => {
    const keys = Array.from({ length: 8 }, (_, i) => cacheKey(String(i), 0));
    for (const key of keys) await writeCache(folder, key, 'x'.repeat(1000));
    for (const path of files()) {
      const age = keys.findIndex((key) => path.includes(key));
      utimesSync(path, new Date(2020, 0, 1 + age), new Date(2020, 0, 1 + age));
    }
    const leftover = join(folder, 'aa.json.1.2.tmp');
    writeFileSync(leftover, 'half');
    utimesSync(leftover, new Date(2020, 0, 1), new Date(2020, 0, 1));
    await readCache(folder, keys[0] as string);
    await sweepCache(folder, 1e9);
    expect(files()).toHaveLength(8);
    await sweepCache(folder, 8000);
    const kept = await Promise.all(keys.map((key) => readCache(folder, key)));
    expect(kept.map((value) => value !== undefined)).toEqual([true, false, false, false, true, true, true, true]); // prettier-ignore
    expect(files().reduce((sum, path) => sum + statSync(path).size, 0)).toBeLessThanOrEqual(6000);
  });

  it('that cannot be written is no failure', async () => {
    writeFileSync(join(folder, 'file'), '');
    await writeCache(join(folder, 'file'), cacheKey('a', 0), 1);
    await sweepCache(join(folder, 'gone'));
    expect(await readCache(join(folder, 'file'), cacheKey('a', 0))).toBeUndefined();
  });
});
