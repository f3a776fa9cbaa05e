import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  boundsOf,
  boxMesh,
  inspectPart,
  joinMeshes,
  massProperties,
  readParts,
  torusMesh,
  writeBinaryStl,
  type Mesh,
  type SplitReport,
} from '../../packages/core/src/index.ts';
import { buildOnce, root, scantling } from './built.ts';

const cwd = mkdtempSync(join(tmpdir(), 'scantling-split-'));
const env = { XDG_CACHE_HOME: join(cwd, 'cache'), HOME: cwd };
const run = (...args: string[]) => scantling(args, { cwd, env });

beforeAll(() => {
  buildOnce();
  writeFileSync(join(cwd, 'bar.stl'), writeBinaryStl(boxMesh([400, 60, 60])));
  writeFileSync(join(cwd, 'ring.stl'), writeBinaryStl(torusMesh(70, 20, 48, 24)));
  writeFileSync(join(cwd, 'cut-short.stl'), writeBinaryStl(boxMesh([9, 9, 9])).subarray(0, 200));
  writeFileSync(
    join(cwd, 'workshop.yaml'),
    'machines:\n  - { name: desk, plate: { box: [220, 220] }, height: 250, join: { holeClearanceMm: 0.35 } }\n',
  );
});
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

describe('scantling split', () => {
  it('makes pieces that are sound, fit, add up and can be found again from the sheet', () => {
    const made = run('split', 'bar.stl', '--hanging', '500', '-o', 'out');
    expect(made.err).toBe('Wrote to out.\n');
    expect(made.code).toBe(0);
    expect(made.out).toContain('2 pieces; fewer is impossible');
    const files = readdirSync(join(cwd, 'out')).sort();
    for (const name of [
      'bar.piece-1.stl',
      'bar.piece-2.stl',
      'bar.planes.stl',
      'bar.drill.pdf',
      'bar.pieces.3mf',
      'bar.cut-sheet.txt',
    ])
      // prettier-ignore
      expect(files).toContain(name);
    const pieces = files
      .filter((name) => /piece-\d+\.stl$/.test(name))
      .map((name) => readParts(readFileSync(join(cwd, 'out', name)))[0]!.mesh);
    for (const piece of pieces) {
      expect(inspectPart(piece).verdict).not.toBe('open');
      const box = boundsOf(piece.positions);
      expect(box.max[0] - box.min[0]).toBeLessThanOrEqual(250);
    }
    const report = JSON.parse(readFileSync(join(cwd, 'out/bar.split.json'), 'utf8')) as SplitReport;
    const [part] = report.parts;
    const volumes = part!.files!.volumes!;
    const sum = pieces.reduce((v, mesh) => v + massProperties(mesh).volumeMm3, 0);
    const bar = 400 * 60 * 60;
    expect(Math.abs(sum + volumes.holesMm3 + volumes.marksMm3 - bar) / bar).toBeLessThan(1e-6);
    const dowels = part!.joints.flatMap((joint) => joint.regions.flatMap((r) => r.dowels));
    expect(dowels.length).toBeGreaterThanOrEqual(2);
    // The machine's own clearance, on the diameter, not the workshop's 0.2.
    for (const d of dowels) expect(d.holeDiameterMm - d.diameterMm).toBeCloseTo(0.35, 12);
    // 0.5 kg in standard gravity.
    expect(part!.joints[0]!.strength.loadN).toBeCloseTo(0.5 * 9.80665, 12);
    const sheet = readFileSync(join(cwd, 'out/bar.cut-sheet.txt'), 'utf8');
    for (const words of ['cut at height', 'hole 10.35 mm', 'STRENGTH', '4.9 N hang from it', 'no promise', 'To buy'])
      expect(sheet.toLowerCase()).toContain(words.toLowerCase()); // prettier-ignore
  });

  it('overwrites nothing without --force, and says so in one line', () => {
    const before = readFileSync(join(cwd, 'out/bar.piece-1.stl'));
    const again = run('split', 'bar.stl', '-o', 'out');
    expect(again.code).toBe(2);
    expect(again.err).toMatch(/^scantling: .*--force.*\n$/);
    expect(readFileSync(join(cwd, 'out/bar.piece-1.stl'))).toEqual(before);
    expect(run('split', 'bar.stl', '-o', 'out', '--force').code).toBe(0);
  });

  it('keeps apart what two files of one name give, and asks before any work', () => {
    for (const folder of ['left', 'right']) {
      mkdirSync(join(cwd, folder));
      writeFileSync(join(cwd, folder, 'leg.stl'), writeBinaryStl(boxMesh([450, 40, 40])));
    }
    expect(run('split', 'left', 'right', '-o', 'legs').code).toBe(0);
    const made = readdirSync(join(cwd, 'legs'));
    for (const side of ['left-leg', 'right-leg'])
      expect(made).toEqual(expect.arrayContaining([`${side}.piece-1.stl`, `${side}.split.json`]));
    const again = run('split', 'left', 'right', '-o', 'legs');
    expect(again.code).toBe(2);
    expect(again.err).toMatch(/^scantling: legs\/left-leg.* and \d+ more exist already; give --force to replace them\.\n$/); // prettier-ignore
    // Files of others in the folder are none of its business.
    expect(run('split', 'left/leg.stl', '-o', 'left').code).toBe(0);
  });

  it('gives JSON that keeps to its schema, and goes on past a broken file', () => {
    const { code, out } = run(
      'split',
      'bar.stl',
      'ring.stl',
      'cut-short.stl',
      '--pieces',
      '2',
      '--json',
    );
    expect(code).toBe(1);
    const report = JSON.parse(out) as SplitReport;
    const schema = JSON.parse(readFileSync(`${root}packages/core/schema/split@1.json`, 'utf8')) as object; // prettier-ignore
    const validate = new Ajv2020({ strict: false }).compile(schema);
    expect(validate(report), JSON.stringify(validate.errors?.slice(0, 3))).toBe(true);
    const state = Object.fromEntries(report.parts.map((p) => [p.file, p.state] as const));
    expect(state).toEqual({ 'bar.stl': 'split', 'ring.stl': 'split', 'cut-short.stl': 'failed' });
    expect(report.complete).toBe(false);
  });

  it('keeps to planes by hand and zones to keep: a cut through a zone is refused in words', () => {
    const hand = JSON.parse(run('split', 'bar.stl', '--cut', 'x=190', '--json').out) as SplitReport;
    expect(hand.parts[0]!.plans[0]!.planes).toHaveLength(1);
    expect(hand.parts[0]!.plans[0]!.planes[0]!.offsetMm).toBeCloseTo(190, 9);
    const kept = JSON.parse(run('split', 'bar.stl', '--keep', 'sphere:200,30,30,12', '--json').out) as SplitReport; // prettier-ignore
    for (const { normal, offsetMm } of kept.parts[0]!.plans[0]!.planes)
      expect(Math.abs(200 * normal[0] + 30 * normal[1] + 30 * normal[2] - offsetMm)).toBeGreaterThanOrEqual(12 - 1e-6); // prettier-ignore
    expect(run('split', 'bar.stl', '--cut', 'w=3').code).toBe(2);
  });

  it('says of a plane that meets no material that there is nothing to cut', () => {
    const two = joinMeshes([boxMesh([100, 60, 60]), boxMesh([100, 60, 60], [400, 0, 0])]);
    writeFileSync(join(cwd, 'two.stl'), writeBinaryStl(two));
    const { out } = run('split', 'two.stl', '--cut', 'x=250');
    expect(out).toContain('cut 1: x = 250 mm; passes between bodies that are apart already');
    expect(out).not.toContain('unknown');
  });

  it('plans left and right together where they are mirror images meshed apart', () => {
    mkdirSync(join(cwd, 'pair'));
    const leaning = (mesh: Mesh, side: 1 | -1): Mesh => ({
      positions: mesh.positions.map((x, i) => (i % 3 === 0 ? side * x + 0.3 * (mesh.positions[i + 2] ?? 0) * side : x)),
      triangles: side > 0 ? mesh.triangles : mesh.triangles.map((_, i, t) => t[i % 3 === 1 ? i + 1 : i % 3 === 2 ? i - 1 : i] as number),
    }); // prettier-ignore
    writeFileSync(join(cwd, 'pair/Left_Ring.stl'), writeBinaryStl(leaning(torusMesh(130, 24, 64, 36), 1))); // prettier-ignore
    writeFileSync(join(cwd, 'pair/right_ring.stl'), writeBinaryStl(leaning(torusMesh(130, 24, 70, 40), -1))); // prettier-ignore
    const { parts } = JSON.parse(run('split', 'pair', '--json').out) as SplitReport; // prettier-ignore
    const [left, right] = parts.map((part) => part.plans[0]!);
    for (const part of parts) expect(part.remarks.join()).toContain('mirror image');
    expect(right!.planes).toHaveLength(left!.planes.length);
    for (const { normal: n } of left!.planes) {
      const found = right!.planes.some(({ normal: m }) => Math.abs(n[1] * m[1] + n[2] * m[2] - n[0] * m[0]) > 1 - 1e-9); // prettier-ignore
      expect(found).toBe(true);
    }
    // The same plans: what one says of the other is what the other says of itself, but for supports.
    const bare = (plan: typeof left): number => plan!.cost.terms.reduce((sum, t) => sum + (t.name === 'supports' ? 0 : t.cost), 0); // prettier-ignore
    expect(left!.twinCostMm).toBeCloseTo(bare(right), 6);
    expect(right!.twinCostMm).toBeCloseTo(bare(left), 6);
  });
});
