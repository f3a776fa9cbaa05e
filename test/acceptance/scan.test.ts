import { spawn, spawnSync } from 'node:child_process';
import {
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  boxMesh,
  joinMeshes,
  torusMesh,
  type Mesh,
  type Scan,
} from '../../packages/core/src/index.ts';
import { buildOnce, main, root, scantling } from './built.ts';

const cwd = mkdtempSync(join(tmpdir(), 'scantling-accept-'));
const env = { XDG_CACHE_HOME: join(cwd, 'cache'), HOME: cwd };
const run = (...args: string[]) => scantling(args, { cwd, env });

function stl({ positions, triangles }: Mesh): Uint8Array {
  const count = triangles.length / 3;
  const view = new DataView(new ArrayBuffer(84 + 50 * count));
  view.setUint32(80, count, true);
  triangles.forEach((v, i) => {
    const at = 84 + 50 * Math.floor(i / 3) + 12 + 12 * (i % 3);
    for (let k = 0; k < 3; k++) view.setFloat32(at + 4 * k, positions[3 * v + k] ?? 0, true);
  });
  return new Uint8Array(view.buffer);
}

/** Boxes: whether and how one goes into 100 x 60 x 50 can be said by hand. */
const BODIES: Readonly<Record<string, readonly [number, number, number]>> = {
  'as-is.stl': [100, 60, 50],
  'turned.stl': [60, 100, 50],
  'tilted.stl': [50, 60, 100],
  'sub/too-long.stl': [20, 20, 400],
};

beforeAll(() => {
  buildOnce();
  mkdirSync(join(cwd, 'kit/sub'), { recursive: true });
  for (const [name, size] of Object.entries(BODIES))
    writeFileSync(join(cwd, 'kit', name), stl(boxMesh([...size])));
  const whole = stl(boxMesh([10, 20, 30]));
  mkdirSync(join(cwd, 'mixed'));
  writeFileSync(join(cwd, 'mixed/whole.stl'), whole);
  writeFileSync(join(cwd, 'mixed/short.stl'), whole.subarray(0, 300));
  writeFileSync(join(cwd, 'mixed/empty.stl'), '');
});
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

describe('scantling scan', () => {
  it('prints one table, worst news first, and says the kit in sentences', () => {
    const { code, out, err } = run('scan', 'kit', '-e', '100x60x50');
    expect(err).toBe('');
    expect(out).toBe(
      [
        'part                    size mm  verdict   scale  room mm  mesh',
        '----------------------------------------------------------------',
        'sub/too-long.stl  20 x 20 x 400  split 4+  0.295     -239  sound',
        'tilted.stl        50 x 60 x 100  tilt      1.000        0  sound',
        'turned.stl        60 x 100 x 50  turn      1.000        0  sound',
        'as-is.stl         100 x 60 x 50  fits      1.000        0  sound',
        '',
        'kit: 4 parts: 1 goes on as modelled, 1 when turned on the plate, 1 when tilted',
        'and 1 must be split.',
        'Unsplit, the whole kit fits at 29.5 % of its size; sub/too-long.stl sets that',
        'limit.',
        '',
      ].join('\n'),
    );
    expect(code).toBe(0);
  });

  it('gives JSON that holds to the published schema, checked by an independent validator', () => {
    const { code, out, err } = run('scan', 'kit', '-e', '100x60x50', '--json');
    expect([code, err]).toEqual([0, '']);
    const schema = JSON.parse(
      readFileSync(`${root}packages/core/schema/scan@1.json`, 'utf8'),
    ) as object;
    const validate = new Ajv2020().compile(schema);
    const scan = JSON.parse(out) as Scan;
    expect(validate(scan), JSON.stringify(validate.errors)).toBe(true);
    expect(scan.schema).toBe('scantling/scan@1');
    const verdicts = Object.fromEntries(scan.parts.map((part) => [part.file, part.verdict]));
    expect(verdicts).toEqual({
      'kit/as-is.stl': 'fits',
      'kit/turned.stl': 'fits-turned',
      'kit/tilted.stl': 'fits-tilted',
      'kit/sub/too-long.stl': 'too-big',
    });
    // The space diagonal of the envelope bounds any straight line: sqrt(100^2 + 60^2 + 50^2) = 126.9.
    const long = scan.parts.find((part) => part.file.endsWith('long.stl'));
    expect(long?.scale?.atMost).toBeLessThan(126.9 / 400);
    expect(long?.piecesAtLeast?.count).toBe(Math.ceil(Math.hypot(20, 20, 400) / 126.8858));
    expect(scan.kit.scale?.decidedBy).toEqual(['kit/sub/too-long.stl']);
  });

  it('tells the supports when asked: of a table by hand, standing and upside down', () => {
    // A top of 50 x 50 on a leg of 10 x 10 x 40: (50^2 - 10^2) x 40 as modelled, none on its top.
    const table = joinMeshes([boxMesh([10, 10, 40]), boxMesh([50, 50, 5], [-20, -20, 40])]);
    writeFileSync(join(cwd, 'table.stl'), stl(table));
    const { code, out } = run('scan', 'table.stl', '-e', '100x100x100', '--orient', '--json');
    expect(code).toBe(0);
    const [part] = (JSON.parse(out) as Scan).parts;
    expect(part?.supports?.asModelledMm3).toBeGreaterThan(0.98 * 2400 * 40);
    expect(part?.supports?.asModelledMm3).toBeLessThan(1.02 * 2400 * 40);
    expect(part?.supports?.bestMm3).toBeLessThan(1);
    expect(part?.supports?.steady).toBe(true);
    expect(run('scan', 'table.stl', '-e', '100x100x100', '--orient').out).toContain('supports cm3');
    expect(run('scan', 'table.stl', '-e', '100x100x100').out).not.toContain('supports');
  });

  it('gives CSV with raw numbers', () => {
    const { code, out } = run('scan', 'kit/as-is.stl', '-e', '100x60x50', '--csv');
    const [head = '', row = '', end] = out.split('\n');
    const cells = Object.fromEntries(head.split(',').map((name, i) => [name, row.split(',')[i]]));
    expect(cells).toMatchObject({
      file: 'kit/as-is.stl',
      part: '',
      verdict: 'fits',
      size_x_mm: '100',
      size_y_mm: '60',
      size_z_mm: '50',
      mesh: 'sound',
      triangles: '12',
      volume_mm3: '300000',
      error: '',
    });
    expect([code, end]).toEqual([0, '']);
  });

  it('reads what it can, names what is broken with place and remedy, and ends with 1', () => {
    const { code, out, err } = run('scan', 'mixed', '-e', '100x60x50');
    expect([code, err]).toEqual([1, '']);
    expect(out).toMatch(/^empty\.stl +- +unreadable +- +- +-$/m);
    expect(out).toMatch(/^short\.stl, byte 300: The header claims 12 facets/m);
    expect(out).toMatch(/^whole\.stl +10 x 20 x 30 +fits /m);
    expect(out).toContain('3 parts: 1 goes on as modelled and 2 could not be read.');
  });

  it('writes to a file whole, and over an existing one only with --force', () => {
    const ask = ['scan', 'kit', '-e', '100x60x50', '--json', '--out', 'res/scan.json'];
    const first = run(...ask);
    expect(first).toEqual({ code: 0, out: '', err: 'Wrote res/scan.json.\n' });
    const again = run(...ask);
    expect(again).toEqual({
      code: 2,
      out: '',
      err: 'scantling: res/scan.json exists already; give --force to replace it.\n',
    });
    expect(run(...ask, '--force').code).toBe(0);
    expect((JSON.parse(readFileSync(join(cwd, 'res/scan.json'), 'utf8')) as Scan).complete).toBe(
      true,
    );
  });

  it('gives the same bytes from the cache, from one thread and from two', () => {
    const ask = ['scan', 'kit', 'mixed', '-e', '100x60x50', '--json'];
    const [cold, warm, fresh] = [
      run(...ask),
      run(...ask),
      run(...ask, '--no-cache', '--jobs', '1'),
    ];
    expect(warm).toEqual(cold);
    expect(fresh).toEqual(cold);
  });

  it('asks the cache by content and settings: a copy is known, a changed margin is another question', () => {
    cpSync(join(cwd, 'kit/as-is.stl'), join(cwd, 'copy.stl'));
    const at = (margin: string) => run('scan', 'copy.stl', '-e', '110x70x60', '--margin', margin);
    expect(at('0').out).toContain('  10  sound');
    expect(at('5').out).toContain('   0  sound');
    expect(at('6').out).toContain('split');
  });

  it('takes lengths in the unit given, 25.4 mm to the inch', () => {
    const { out } = run('scan', 'mixed/whole.stl', '-e', '300x600x900', '--unit', 'in', '--json');
    expect((JSON.parse(out) as Scan).parts[0]?.size).toEqual([254, 508, 762]);
  });

  it('takes the unit from the kit file where none is given, past one that is broken', () => {
    mkdirSync(join(cwd, 'drawn/sub'), { recursive: true });
    const inches = stl(boxMesh([2, 1, 1]));
    for (const name of ['a.stl', 'sub/b.stl', 'c.stl'])
      writeFileSync(join(cwd, 'drawn', name), inches);
    const kit = 'name: drawn\nparts:\n  - { file: a.stl, unit: in }\n  - { file: sub/b.stl, unit: in }\n  - file: c.stl\n'; // prettier-ignore
    writeFileSync(join(cwd, 'drawn/kit.yaml'), kit);
    const room = ['-e', '100x60x50', '--json'];
    const sizes = (...args: string[]): Record<string, number | undefined> => {
      const { parts } = JSON.parse(run('scan', 'drawn', ...room, ...args).out) as Scan;
      return Object.fromEntries(parts.map((p) => [p.file, p.size?.[0]]));
    };
    expect(sizes()).toEqual({ 'drawn/a.stl': 50.8, 'drawn/c.stl': 2, 'drawn/sub/b.stl': 50.8 });
    expect(Object.values(sizes('--unit', 'cm'))).toEqual([20, 20, 20]);

    // The same in the other commands that look into files of a kit.
    const splitUp = run('split', 'drawn/a.stl', '-e', '30x30x30', '--json');
    const { parts } = JSON.parse(splitUp.out) as { parts: { sizeMm: number[] }[] };
    expect(parts[0]?.sizeMm).toEqual([50.8, 25.4, 25.4]);
    expect(run('orient', 'drawn/a.stl', '-e', '100x60x50').out).toMatch(/25\.4/);
    const saved = run('salvage', 'drawn/a.stl', '-e', '100x60x50', '--printed-height', '10', '--json'); // prettier-ignore
    const { whole } = JSON.parse(saved.out) as { whole: { volumeMm3: number } };
    expect(whole.volumeMm3).toBeCloseTo(2 * 25.4 ** 3, 1);

    writeFileSync(join(cwd, 'drawn/kit.yaml'), 'name: drawn\nparts: 7\n');
    const broken = run('scan', 'drawn', ...room);
    expect(broken.err).toMatch(/^scantling: drawn\/kit\.yaml.*\n$/);
    expect((JSON.parse(broken.out) as Scan).parts).toHaveLength(3);
    expect(broken.code).toBe(0);
  });

  it('takes machines from a workshop file and names the line of what is wrong in it', () => {
    writeFileSync(
      join(cwd, 'shop.yaml'),
      'machines:\n  - { name: low, plate: { box: [100, 60] }, height: 50 }\n  - { name: tower, plate: { round: 60 }, height: 500 }\n',
    );
    const { code, out } = run('scan', 'kit', '--shop', 'shop.yaml');
    expect(code).toBe(0);
    expect(out).toMatch(/^sub\/too-long\.stl .* fits .* tower +sound$/m);
    expect(out).toMatch(/Parts that fit, by machine: low 3 of 4, tower \d of 4\./);
    writeFileSync(join(cwd, 'bad.yaml'), 'machines:\n  - name: low\n    hight: 50\n');
    expect(run('scan', 'kit', '--shop', 'bad.yaml').err).toMatch(
      /^scantling: bad\.yaml, line \d, column \d+: machines\[0\]\.\w+: .+\n$/,
    );
  });

  it('stops on Ctrl-C, prints what is done, and leaves it in the cache', async () => {
    mkdirSync(join(cwd, 'long'));
    for (let i = 0; i < 60; i++)
      writeFileSync(join(cwd, `long/${i}.stl`), stl(torusMesh(50 + i, 20, 60, 30)));
    const child = spawn(process.execPath, [main, 'scan', 'long', '-e', '180x180x180', '--json'], {
      cwd,
      env: { ...process.env, ...env },
    });
    let out = '';
    child.stdout.on('data', (data: Buffer) => (out += data.toString()));
    setTimeout(() => child.kill('SIGINT'), 900);
    const code = await new Promise((resolve) => child.on('exit', resolve));
    const scan = JSON.parse(out) as Scan;
    expect(code).toBe(130);
    expect(scan.complete).toBe(false);
    expect(scan.parts.length).toBeLessThan(60);
    expect(scan.parts.every((part) => part.verdict !== 'unreadable')).toBe(true);
  });
});

describe('scantling --help and --version', () => {
  it('load neither core nor the files of single commands', () => {
    // V8 lists every script that a process loads. How long that takes is for the bench to say.
    const seen = join(cwd, 'loaded');
    for (const word of ['--help', '--version']) {
      rmSync(seen, { recursive: true, force: true });
      const { status } = spawnSync(process.execPath, [main, word], {
        stdio: 'ignore',
        env: { ...process.env, NODE_V8_COVERAGE: seen },
      });
      expect(status).toBe(0);
      const loaded = readdirSync(seen)
        .flatMap((file) => (JSON.parse(readFileSync(join(seen, file), 'utf8')) as { result: { url: string }[] }).result)
        .map(({ url }) => url); // prettier-ignore
      expect(loaded.some((url) => url.endsWith('/dist/main.js'))).toBe(true);
      expect(
        loaded.filter((url) => /core\/dist|commands\/(?!index)|three|manifold|zod/.test(url)),
      ).toEqual([]);
    }
  });
});
