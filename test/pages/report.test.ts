/// <reference lib="dom" />
import { execFileSync } from 'node:child_process';
import {
  existsSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  statSync,
  mkdirSync,
  copyFileSync,
  writeFileSync,
} from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { chromium, type Browser, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

/** The page in a real browser: Debian's Chromium, which `.ci/run` installs. */
const CHROMIUM = '/usr/bin/chromium';
const root = fileURLToPath(new URL('../../', import.meta.url));
const require = createRequire(import.meta.url);

/** Sound, tilted, too big, one open, one cut short; small enough to be drawn in seconds. */
const PARTS = ['coat-button', 'hat-feather', 'lantern-frame', 'leg-left', 'gas-key', 'boot-left', 'scarf-tail']; // prettier-ignore

let folder: string;
let browser: Browser;
let page: Page;
/** Over all pages that are opened here. */
const troubles: string[] = [];
const requests: string[] = [];

const scantling = (...args: string[]): string => {
  try {
    return execFileSync(process.execPath, [`${root}packages/cli/dist/main.js`, ...args], {
      cwd: folder,
      encoding: 'utf8',
      env: { ...process.env, XDG_CACHE_HOME: `${folder}/cache` },
      stdio: ['ignore', 'pipe', 'pipe'],
    });
  } catch (error) {
    // Exit 1: some part is broken, as one of these is.
    const { status, stdout, stderr } = error as { status: number; stdout: string; stderr: string };
    if (status !== 1) throw new Error(`scantling ${args.join(' ')}: ${stderr}`, { cause: error });
    return stdout;
  }
};

beforeAll(async () => {
  if (!existsSync(CHROMIUM))
    throw new Error(`No browser at ${CHROMIUM}: apt-get install chromium (.ci/run does it).`);
  folder = mkdtempSync(`${tmpdir()}/scantling-page-`);
  mkdirSync(`${folder}/kit`);
  for (const part of PARTS)
    copyFileSync(`${root}fixtures/lamplighter/${part}.stl`, `${folder}/kit/${part}.stl`);
  const envelope = ['-e', '300x300x340'];
  writeFileSync(
    `${folder}/kit/split.json`,
    scantling('split', 'kit/leg-left.stl', ...envelope, '--json'),
  );
  writeFileSync(
    `${folder}/kit/kit.yaml`,
    `name: Half a lamplighter\nparts:\n${PARTS.map((p) => `  - {file: ${p}.stl, group: ${p.includes('-left') ? 'left leg' : 'rest'}}\n`).join('')}`,
  );
  writeFileSync(
    `${folder}/kit/plan.json`,
    scantling('plan', 'kit', ...envelope, '--from', '2026-11-27 08:00', '--json'),
  );
  writeFileSync(
    `${folder}/kit/orient.json`,
    scantling('orient', 'kit/lantern-frame.stl', ...envelope, '--json'),
  );
  scantling('report', 'kit', ...envelope, '--sheets', 'sheets');
  browser = await chromium.launch({
    executablePath: CHROMIUM,
    args: [
      '--no-sandbox',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      '--use-gl=angle',
      '--use-angle=swiftshader',
      '--enable-unsafe-swiftshader',
    ],
  });
  await open(1440);
});

afterAll(async () => {
  await browser?.close();
  if (folder) rmSync(folder, { recursive: true, force: true });
});

async function open(
  width: number,
  options: { scripts?: boolean; dark?: boolean } = {},
): Promise<Page> {
  await page?.close();
  const context = await browser.newContext({
    viewport: { width, height: 900 },
    javaScriptEnabled: options.scripts ?? true,
    colorScheme: options.dark ? 'dark' : 'light',
  });
  page = await context.newPage();
  page.on('console', (m) => {
    if (m.type() === 'error') troubles.push(m.text());
  });
  page.on('pageerror', (error) => troubles.push(error.message));
  page.on('request', (r) => {
    if (!/^(file|data|blob):/.test(r.url())) requests.push(r.url());
  });
  await page.goto(pathToFileURL(`${folder}/report.html`).href);
  return page;
}

/** Serious and critical findings of axe-core on the open page. */
async function seriousFaults(): Promise<string[]> {
  // Sections far down are not laid out before they are seen; axe must see all.
  await page.addStyleTag({ content: '.part{content-visibility:visible!important}' });
  await page.evaluate(readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8'));
  return page.evaluate(async () => {
    type Axe = {
      run: (
        o: unknown,
      ) => Promise<{ violations: { id: string; impact: string; nodes: { html: string }[] }[] }>;
    };
    const { violations } = await (globalThis as unknown as { axe: Axe }).axe.run({
      resultTypes: ['violations'],
    });
    return violations
      .filter((v) => v.impact === 'serious' || v.impact === 'critical')
      .map((v) => `${v.id}: ${v.nodes[0]?.html.slice(0, 160)}`);
  });
}

const shown = (): Promise<string[]> => page.locator('.card:visible strong').allTextContents();

describe('the report page', () => {
  it('is one file that names nothing outside itself', () => {
    const text = readFileSync(`${folder}/report.html`, 'utf8');
    expect(statSync(`${folder}/report.html`).size).toBeLessThan(5e6);
    // Names of XML name spaces are no addresses to load from.
    const drawn = text.replace(/<script[\s\S]*?<\/script>/g, '');
    expect(drawn.match(/(?:src|href)="(?!#|data:)[^"]*"/g)).toBeNull();
  });

  it('shows every part with a verdict in words and a picture, the broken one with its sign', async () => {
    expect((await shown()).sort()).toEqual(PARTS.map((p) => `${p}.stl`).sort());
    expect(await page.locator('.card a > svg.draw').count()).toBe(PARTS.length - 1);
    expect(await page.locator('.card .verdict').allInnerTexts()).toContain('broken file');
    expect(await page.locator('.part .exploded svg.draw').count()).toBe(1);
  });

  it('shows what was made of each part: seams, pieces, dowels, ways up, supports, flaws, plates, days', async () => {
    const count = (selector: string): Promise<number> => page.locator(selector).count();
    const split = '.part:has(.exploded)';
    expect(await count(`${split} .l-cutting`)).toBeGreaterThan(0);
    expect(await count(`${split} .exploded .l-centre`)).toBeGreaterThan(0);
    expect(await page.locator(`${split} h4`).allTextContents()).toEqual(expect.arrayContaining(['Cuts', 'Dowels'])); // prettier-ignore
    const lantern = page.locator('.part', { has: page.locator('h3', { hasText: 'lantern-frame' }) }); // prettier-ignore
    expect(await lantern.locator('h4').allTextContents()).toContain('Ways up');
    expect(await lantern.locator('h4:text("Ways up") ~ .scroll tbody tr').count()).toBeGreaterThan(1); // prettier-ignore
    const open = page.locator('.part', { has: page.locator('h3', { hasText: 'scarf-tail' }) });
    expect(await open.locator('.flaw').count()).toBeGreaterThan(0);
    expect(await count('#plan .chart .print')).toBeGreaterThan(0);
    expect(await count('#plan .plate')).toBeGreaterThan(0);
    expect(await count('#plan .night')).toBeGreaterThan(0);
  });

  it('chooses by verdict and name, orders by size, and says how many are shown', async () => {
    await page.locator('input[value=unreadable]').uncheck();
    expect(await shown()).not.toContain('gas-key.stl');
    expect(await page.locator('#count').textContent()).toBe(
      `${PARTS.length - 1} of ${PARTS.length} shown`,
    );
    await page.locator('select[name=order]').selectOption('size');
    // Largest extents: leg 410, scarf 305 mm.
    expect((await shown()).slice(0, 2)).toEqual(['leg-left.stl', 'scarf-tail.stl']);
    await page.locator('select[name=group]').selectOption('left leg');
    expect(await shown()).toHaveLength(2);
    await page.locator('input[name=find]').fill('zzz');
    expect(await page.locator('#none').isVisible()).toBe(true);
    await open(1440);
  });

  it('works by keyboard alone: skip link, check boxes, links to parts', async () => {
    await page.keyboard.press('Tab');
    expect(await page.evaluate(() => document.activeElement?.className)).toBe('skip');
    await page.locator('input[value=fits]').focus();
    const before = (await shown()).length;
    await page.keyboard.press('Space');
    expect((await shown()).length).toBeLessThan(before);
    await page.keyboard.press('Space');
    await page.locator('.card:visible a').first().focus();
    await page.keyboard.press('Enter');
    expect(new URL(page.url()).hash).toMatch(/^#p\d+$/);
  });

  it.each([360, 768, 1440])('fits a window of %i px without running over', async (width) => {
    await open(width);
    const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(over).toBeLessThanOrEqual(0);
  });

  it.each([false, true])('has no serious fault by axe-core, dark: %s', async (dark) => {
    await open(1024, { dark });
    expect(await seriousFaults()).toEqual([]);
  });

  it('turns a part around in three dimensions and pulls its pieces apart', async () => {
    await open(1024);
    const part = page.locator('.part:has(.exploded)');
    await part.locator('[data-open]').click();
    const canvas = part.locator('canvas');
    await expect.poll(() => canvas.getAttribute('data-turned'), { timeout: 20_000 }).toBeTruthy();
    const first = await canvas.screenshot();
    await canvas.focus();
    for (let i = 0; i < 6; i++) await page.keyboard.press('ArrowLeft');
    await expect.poll(async () => Buffer.compare(first, await canvas.screenshot())).not.toBe(0);
    const turned = await canvas.screenshot();
    await part.locator('[data-apart]').fill('0');
    await expect.poll(async () => Buffer.compare(turned, await canvas.screenshot())).not.toBe(0);
    await part.locator('[data-close]').click();
    expect(await canvas.isVisible()).toBe(false);
  });

  it.each([360, 1440])(
    'stays within %i px and free of faults with a body turned',
    async (width) => {
      await open(width);
      const part = page.locator('.part:has(.exploded)');
      await part.locator('[data-open]').click();
      await expect.poll(() => part.locator('canvas').getAttribute('data-turned'), { timeout: 20_000 }).toBeTruthy(); // prettier-ignore
      const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      expect(over).toBeLessThanOrEqual(0);
      // What moves it has a name for those who do not see it.
      const names = await part.locator('canvas, [data-apart]').evaluateAll(
        (all) =>
      all.map((e) => e.getAttribute('aria-label') ?? (e as HTMLInputElement).labels?.[0]?.textContent ?? ''), // prettier-ignore
      );
      expect(names.every((name) => name.trim().length > 3)).toBe(true);
      await page.locator('input[value=unreadable]').uncheck();
      expect(await seriousFaults()).toEqual([]);
    },
  );

  it('keeps its pictures where there is no WebGL, and says so', async () => {
    const plain = await chromium.launch({
      executablePath: CHROMIUM,
      args: ['--no-sandbox', '--disable-gpu', '--disable-3d-apis'],
    });
    try {
      const bare = await plain.newPage();
      await bare.goto(pathToFileURL(`${folder}/report.html`).href);
      const part = bare.locator('.part:has(.exploded)');
      await part.locator('[data-open]').click();
      await expect
        .poll(() => part.innerText(), { timeout: 20_000 })
        .toMatch(/cannot draw in three dimensions; the views above/);
      expect(await part.locator('.exploded svg.draw').isVisible()).toBe(true);
    } finally {
      await plain.close();
    }
  });

  it('says everything without scripts', async () => {
    await open(768, { scripts: false });
    expect(await page.locator('.card').count()).toBe(PARTS.length);
    expect(await page.locator('#choose').isVisible()).toBe(false);
    for (const id of ['#parts', '#plan', '#filament', '#p1'])
      expect((await page.locator(id).textContent())?.length, id).toBeGreaterThan(80);
  });

  it('prints on A4 with nothing beyond the paper, measured in the PDF itself', async () => {
    await open(768);
    // Chromium leaves the objects of its pages in plain text.
    const pdf = (await page.pdf({ format: 'A4' })).toString('latin1');
    const boxes = [...pdf.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)];
    expect(pdf.match(/\/Type \/Page\b/g)).toHaveLength(boxes.length);
    expect(boxes.length).toBeGreaterThan(3);
    expect(boxes.length).toBeLessThan(40);
    for (const [, width, height] of boxes) {
      // ISO 216: 210 x 297 mm, in points; Chromium rounds to its own pixels.
      expect(Math.abs(Number(width) - (210 * 72) / 25.4)).toBeLessThan(1);
      expect(Math.abs(Number(height) - (297 * 72) / 25.4)).toBeLessThan(1);
    }
    // Laid out for print at the paper's width of 96 px per inch, less its margins of 14 mm.
    await page.emulateMedia({ media: 'print' });
    await page.setViewportSize({ width: Math.floor(((210 - 28) * 96) / 25.4), height: 1000 });
    const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(over).toBeLessThanOrEqual(0);
    // Every picture whole within its card.
    const clipped = await page.locator('.card').evaluateAll(
      (cards) =>
      cards.filter((card) => card.scrollWidth > card.clientWidth + 1 || [...card.querySelectorAll('svg.draw')].some((svg) => svg.getBoundingClientRect().right > card.getBoundingClientRect().right + 1)).length, // prettier-ignore
    );
    expect(clipped).toBe(0);
    expect(await page.locator('#choose').isVisible()).toBe(false);
  });

  it('comes with sheets for the bench, PDF and SVG', () => {
    for (const name of [
      'piece-list.pdf',
      'piece-list-1.svg',
      'leg-left.cut-sheet.pdf',
      'leg-left.templates.pdf',
    ])
      expect(existsSync(`${folder}/sheets/${name}`), name).toBe(true);
  });

  it('made no error and asked for nothing over the network', () => {
    expect(troubles).toEqual([]);
    expect(requests).toEqual([]);
  });
});
