import { copyFileSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'; // prettier-ignore
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import ICAL from 'ical.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  boundsOf,
  inspectPart,
  massProperties,
  quatToMatrix,
  readParts,
  transformPositions,
  type Balance,
  type Estimate,
  type KitResult,
  type Plan,
  type Salvage,
} from '../../packages/core/src/index.ts';
import { buildOnce, root, scantling } from './built.ts';

const PARTS = ['boot-left', 'boot-right', 'coat-button', 'coat-button-copy', 'shoulder-ring-left'];
const cwd = mkdtempSync(join(tmpdir(), 'scantling-workday-'));
const env = { XDG_CACHE_HOME: join(cwd, 'cache'), HOME: cwd };
const run = (...args: string[]) => scantling(args, { cwd, env });
/** Runs it, wants success, and reads its JSON. */
const answer = <T>(...args: string[]): T => {
  const { code, out, err } = run(...args, '--json');
  expect(err).toBe('');
  expect(code).toBe(0);
  return JSON.parse(out) as T;
};
const meshOf = (path: string) => readParts(readFileSync(join(cwd, path)))[0]!.mesh;
/** Hour of the wall clock in a time written with its offset. */
const clockH = (iso: string): number => Number(iso.slice(11, 13)) + Number(iso.slice(14, 16)) / 60;
const hoursBetween = (a: string, b: string): number => (Date.parse(b) - Date.parse(a)) / 3.6e6;

beforeAll(() => {
  buildOnce();
  for (const name of PARTS) copyFileSync(join(root, `fixtures/lamplighter/${name}.stl`), join(cwd, `${name}.stl`)); // prettier-ignore
  writeFileSync(
    join(cwd, 'workshop.yaml'),
    `machines:
  - name: big
    plate: { box: [400, 400] }
    height: 450
schedule:
  timeZone: Europe/Berlin
  quiet: ["21:00-08:00"]
  latestUnattendedFinish: "06:00"
`,
  );
});
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

// Each step goes on from the one before, as a maker's days do.
describe('from a folder of parts to a standing figure', () => {
  it('kit: finds copies, mirror images and the side that is missing; keeps comments', () => {
    const kit = answer<KitResult>('kit', '.');
    expect(kit).toMatchObject({ parts: 5, pieces: 5 });
    expect(kit.alike.map((a) => [a.file, a.kind, a.of])).toEqual([
      ['boot-right.stl', 'twin', 'boot-left.stl'],
      ['coat-button.stl', 'copy', 'coat-button-copy.stl'],
    ]);
    const path = join(cwd, 'kit.yaml');
    const own = `# left foot first\n${readFileSync(path, 'utf8')}`.replace('order: []', 'order: [feet, coat]').replace(/file: (boot-\w+\.stl)/g, 'file: $1\n    group: feet'); // prettier-ignore
    writeFileSync(path, own);
    const again = run('kit', '.');
    expect(again.code).toBe(0);
    expect(again.out).toContain('shoulder-ring-left.stl: its other side shoulder-ring-right.stl is missing.'); // prettier-ignore
    expect(readFileSync(path, 'utf8')).toBe(own);
  });

  it('estimate: grams, metres and spools that add up', () => {
    const e = answer<Estimate>('estimate', '.');
    expect(e.parts.map((p) => p.file).sort()).toEqual(PARTS.map((name) => `${name}.stl`).sort());
    let sumG = 0;
    for (const { file, estimate } of e.parts) {
      // PLA weighs 1.24 g/cm3 (in the range of data sheets); filament of the part itself is no heavier than the solid.
      const solidG = (massProperties(meshOf(file)).volumeMm3 / 1000) * 1.24;
      const { wallsG, skinsG, infillG } = estimate!.mass;
      expect(wallsG + skinsG + infillG).toBeLessThan(1.02 * solidG);
      expect(wallsG + skinsG + infillG).toBeGreaterThan(0.1 * solidG);
      sumG += estimate!.massG;
    }
    const [left, right] = ['boot-left.stl', 'boot-right.stl'].map((f) => e.parts.find((p) => p.file === f)!.estimate!.massG); // prettier-ignore
    expect(Math.abs(left! / right! - 1)).toBeLessThan(0.01);
    expect(e.total.massG).toBeCloseTo(sumG, 6);
    const [pla] = e.total.spools;
    expect(pla!.metres).toBeCloseTo(sumG / 1.24 / ((Math.PI / 4) * 1.75 ** 2), 6);
    // Spools of 1 kg of which 5 % are not counted on.
    expect(pla!.spools).toBe(Math.ceil(sumG / 950));
  });

  it('estimate: the hollow barrel of the trunk, supports and all, on the roomiest machine of the demo', () => {
    // A comparable part, some 400 x 400 x 480 mm, weighed 2.25 to 2.5 kg in PLA and took about 60
    // hours on a fast large machine (common practice, no source): 0.7 to 1.4 times that.
    const e = answer<Estimate>('estimate', `${root}fixtures/lamplighter/torso-middle.stl`, '--shop', `${root}fixtures/workshop.yaml`); // prettier-ignore
    expect(e.machine).toBe('large');
    expect(e.total.massG).toBeGreaterThan(0.7 * 2250);
    expect(e.total.massG).toBeLessThan(1.4 * 2500);
    expect(e.total.hours).toBeGreaterThan(0.7 * 60);
    expect(e.total.hours).toBeLessThan(1.4 * 60);
  });

  it('estimate --what-if: the button whole and cut up, on a machine with room and on one without', () => {
    const [button] = answer<Estimate>('estimate', 'coat-button.stl', '--what-if').parts;
    expect(button!.choices.map((c) => [c.walls, c.infillShare])).toEqual([2, 4, 7].flatMap((w) => [0.1, 0.2, 0.35].map((i) => [w, i]))); // prettier-ignore
    const { whole, split } = button!.wholeOrSplit!;
    expect(whole).toMatchObject({ possible: true, massG: button!.estimate!.massG });
    expect(split!.pieces).toHaveLength(2);
    // The button is 36 mm wide and 7 high: at 30 x 30 x 30 it goes on in no way.
    const small = run('estimate', 'coat-button.stl', '--what-if', '--envelope', '30x30x30');
    expect(small.code).toBe(1);
    expect(small.out.replace(/\n +/g, ' ')).toMatch(/Whole: not possible on 30x30x30; on one large enough for \d+ x \d+ x \d+ mm and otherwise like it: \d+ g, \d+\.\d h \(\d+\.\d-\d+\.\d\)\.\nSplit: \d pieces, \d+ g/); // prettier-ignore
  });

  it('plan: feet first, nothing started in quiet hours, nothing left on the plate past six', () => {
    const args = ['plan', '.', '--from', '2026-03-27 08:00', '--due', '2026-03-28 12:00'];
    const made = run(...args, '--ics', 'plan.ics', '--json', '-o', 'plan.json');
    expect([made.code, made.err]).toEqual([0, 'Wrote plan.ics.\nWrote plan.json.\n']);
    const plan = JSON.parse(readFileSync(join(cwd, 'plan.json'), 'utf8')) as Plan;
    expect(plan.prints.flatMap((p) => p.pieces).sort()).toEqual([...PARTS].sort());
    expect(plan.prints.slice(0, 2).map((p) => p.group)).toEqual(['feet', 'feet']);
    for (const p of plan.prints) {
      expect(clockH(p.start)).toBeGreaterThanOrEqual(8);
      expect(clockH(p.start)).toBeLessThanOrEqual(21);
      expect(hoursBetween(p.start, p.end)).toBeCloseTo(p.hours, 2);
      if (p.endsUnattended) expect(clockH(p.end) <= 6 || clockH(p.end) >= 21).toBe(true);
    }
    // Turned and moved as the plan says, every part stands on the plate of 400 x 400 mm.
    expect(plan.prints.flatMap((p) => p.placements.map((q) => q.piece)).sort()).toEqual([...PARTS].sort()); // prettier-ignore
    for (const { piece, rotation, translationMm } of plan.prints.flatMap((p) => p.placements)) {
      const { min, max } = boundsOf(transformPositions(meshOf(`${piece}.stl`).positions, quatToMatrix(rotation), translationMm)); // prettier-ignore
      expect(min[2]).toBeCloseTo(0, 6);
      expect(Math.max(max[0], max[1], -min[0], -min[1])).toBeLessThanOrEqual(200);
    }
    // A boot takes more than a spool's 950 g: it is changed on the way, where somebody is there.
    const mid = plan.spools[0]!.changes.filter((c) => c.kind !== 'before');
    expect(mid[0]!.print).toBe(1);
    for (const c of mid) expect(c.attended && clockH(c.at) >= 8 && clockH(c.at) <= 21).toBe(true);
    expect(run(...args).out).toMatch(/Too late by \d+\.\d h for Saturday, 28 March 2026, 12:00\./);
    const events = new ICAL.Component(ICAL.parse(readFileSync(join(cwd, 'plan.ics'), 'utf8')) as unknown[]).getAllSubcomponents('vevent'); // prettier-ignore
    expect(events.map((v) => new ICAL.Event(v).startDate.toJSDate().getTime())).toEqual(plan.prints.map((p) => Date.parse(p.start))); // prettier-ignore
    expect(events.map((v) => v.getAllSubcomponents('valarm').length)).toEqual(plan.prints.map((p) => 1 + mid.filter((c) => c.print === p.print).length)); // prettier-ignore
    // What exists is left alone.
    expect(run(...args, '--json', '-o', 'plan.json').code).not.toBe(0);
  });

  it('log: keeps what happened, refuses what cannot have, and the plan goes on from it', () => {
    const log = (event: string, piece: string, at: string, ...more: string[]) =>
      run('log', event, piece, '--at', at, '-m', 'big', ...more);
    expect(log('start', 'boot-left', '2026-03-27 08:00').code).toBe(0);
    expect(log('done', 'boot-left', '2026-03-28 14:00', '-g', '1000').code).toBe(0);
    expect(log('start', 'boot-right', '2026-03-28 14:10').code).toBe(0);
    expect(log('failed', 'boot-right', '2026-03-28 20:10', '-n', '=1+1').code).toBe(0);
    expect(log('start', 'coat-button', '2026-03-28 20:20').code).toBe(0);
    const wrong = run('log', 'done', 'shoulder-ring-left');
    expect(wrong.code).toBe(2);
    expect(wrong.err).toMatch(/^scantling: "shoulder-ring-left" is not printing .*\n$/);
    expect(run('log', 'show', 'boot-left').out).toMatch(
      /done +2026-03-27 08:00\+01:00 +30\.00 +1000/,
    );
    expect(run('log', 'show', '--csv').out.split('\n').slice(1, 4)).toEqual([
      'boot-left,big,done,2026-03-27T08:00:00+01:00,2026-03-28T14:00:00+01:00,30,1000,',
      "boot-right,big,failed,2026-03-28T14:10:00+01:00,2026-03-28T20:10:00+01:00,6,,'=1+1",
      'coat-button,big,printing,2026-03-28T20:20:00+01:00,,,,',
    ]);
    const plan = answer<Plan>('plan', '.', '--from', '2026-03-28 20:30');
    expect(plan.done).toEqual(['boot-left']);
    const first = plan.prints[0]!;
    expect(first).toMatchObject({ pieces: ['coat-button'], running: true });
    expect(Date.parse(first.start)).toBe(Date.parse('2026-03-28T20:20:00+01:00'));
    expect(plan.prints.flatMap((p) => p.pieces).sort()).toEqual(PARTS.slice(1).sort());
  });

  it('salvage: the rest of the failed boot, closed, whole layers, flat down', () => {
    const s = answer<Salvage>('salvage', 'boot-right.stl', '--printed-height', '60', '-o', 'rest', '--no-dowels'); // prettier-ignore
    // Measured to 0.1 mm: 59.9 mm are surely there, 299 layers of 0.2 mm.
    expect(s.printed.layers).toBe(299);
    expect(s.printed.cutMm).toBeCloseTo(59.8, 9);
    expect(readdirSync(join(cwd, 'rest'))).toContain('boot-right.rest.stl');
    const rest = meshOf('rest/boot-right.rest.stl');
    expect(inspectPart(rest).verdict).toBe('sound');
    const whole = boundsOf(meshOf('boot-right.stl').positions);
    const { min, max } = boundsOf(rest.positions);
    expect(max[2] - min[2]).toBeCloseTo(whole.max[2] - whole.min[2] - 59.8, 3);
    const half = run('salvage', 'boot-right.stl', '--percent', '50', '--of', 'filament', '--no-dowels'); // prettier-ignore
    expect([half.code, half.err]).toEqual([0, '']);
    expect(run('salvage', 'boot-right.stl').code).toBe(2);
    expect(existsSync(join(cwd, 'boot-right.rest.stl'))).toBe(false);
  });

  it('balance: tip angle and push follow from mass, centre and foot', () => {
    const b = answer<Balance>('balance', '.', '--ceiling', '1550', '--tip', '30');
    const boxes = PARTS.map((name) => boundsOf(meshOf(`${name}.stl`).positions));
    const [low, high] = [Math.min(...boxes.map((x) => x.min[2])), Math.max(...boxes.map((x) => x.max[2]))]; // prettier-ignore
    expect(b.heightMm).toBeCloseTo(high - low, 6);
    expect(b.ceiling).toMatchObject({ stands: true, raised: b.swingHeightMm <= 1550 });
    const reach = Math.min(
      ...b.footprintMm.map((p, i) => {
        const q = b.footprintMm[(i + 1) % b.footprintMm.length]!;
        const cross = (q[0] - p[0]) * (b.centreMm[1] - p[1]) - (q[1] - p[1]) * (b.centreMm[0] - p[0]); // prettier-ignore
        return cross / Math.hypot(q[0] - p[0], q[1] - p[1]);
      }),
    );
    expect(b.tip.angleDeg).toBeCloseTo((Math.atan2(reach, b.centreMm[2]) * 180) / Math.PI, 6);
    expect(b.tip.pushN).toBeCloseTo(((b.massG / 1000) * 9.80665 * reach) / b.tip.pushHeightMm, 6);
    expect(b.wanted!.ballastG).toBeGreaterThan(0);
    const words = run('balance', '.', '--ceiling', '400').out;
    expect(words).toContain('Under 400 mm it does not stand');
    expect(words).toContain('Caution: An estimate for a rigid figure on a firm, level floor.');
  });

  it('balance --tip: the least number of walls of the boots, and what was tried', () => {
    const before = readFileSync(join(cwd, 'kit.yaml'), 'utf8');
    writeFileSync(join(cwd, 'kit.yaml'), before.replaceAll('group: feet', 'group: feet\n    role: weight\n    walls: 2')); // prettier-ignore
    const deg = answer<Balance>('balance', '.').tip.angleDeg + 0.05;
    const { wanted } = answer<Balance>('balance', '.', '--tip', String(deg));
    const { lowPartsWalls, wallsTried } = wanted!;
    expect(lowPartsWalls).toBeGreaterThan(2);
    // One wall fewer was weighed and is not enough, unless it is what they have.
    expect([2, ...wallsTried]).toContain(lowPartsWalls! - 1);
    const tipWith = (walls: number): number => {
      writeFileSync(join(cwd, 'kit.yaml'), before.replaceAll('group: feet', `group: feet\n    role: weight\n    walls: ${walls}`)); // prettier-ignore
      return answer<Balance>('balance', '.').tip.angleDeg;
    };
    expect(tipWith(lowPartsWalls!)).toBeGreaterThanOrEqual(deg);
    expect(tipWith(lowPartsWalls! - 1)).toBeLessThan(deg);
    writeFileSync(join(cwd, 'kit.yaml'), before);
  });
});
