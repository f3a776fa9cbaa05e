import { readdirSync, readFileSync } from 'node:fs';
import { dirname, relative, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('../../', import.meta.url));
const core = `${root}packages/core/src`;
const cli = `${root}packages/cli/src`;

/**
 * The storeys of core, lowest first; rooms of one storey stand side by side. A room may import from
 * storeys below its own, and from neighbours as long as no two rooms need each other in turn.
 */
const STOREYS = [
  ['errors', 'units', 'context'],
  ['math'],
  ['mesh'],
  ['solid'],
  ['read'],
  ['inspect'],
  ['hull'],
  ['envelope'],
  ['fit'],
  ['orient', 'join'],
  ['split'],
  ['cut'],
  ['write'],
  ['estimate', 'kit', 'salvage', 'schedule', 'stand', 'draw', 'report', 'workshop'],
  ['index', 'node'],
] as const;
const storeyOf = (room: string): number =>
  STOREYS.findIndex((rooms) => (rooms as readonly string[]).includes(room));

interface Import {
  readonly from: string;
  readonly to: string;
  readonly typeOnly: boolean;
}

const sources = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .map((name) => `${folder}/${name.replaceAll('\\', '/')}`);

/** Static, re-exporting and dynamic imports alike. */
const IMPORT =
  /(?:^|\n)\s*(?:import|export)\s+(type\s)?(?:[^'";]*?\sfrom\s+)?['"]([^'"]+)['"]|\bimport\(\s*['"]([^'"]+)['"]/g;

const importsOf = (file: string): Import[] =>
  [...readFileSync(file, 'utf8').matchAll(IMPORT)].map((match) => ({
    from: file,
    to: (match[2] ?? match[3]) as string,
    typeOnly: Boolean(match[1]),
  }));

const roomOf = (file: string): string =>
  (relative(core, file).split('/')[0] as string).replace(/\.ts$/, '');
const target = (i: Import): string => resolve(dirname(i.from), i.to);
const show = (i: Import): string => `${relative(root, i.from)} imports ${i.to}`;

const coreImports = sources(core).flatMap(importsOf);
const between = coreImports
  .filter((i) => i.to.startsWith('.'))
  .map((i) => ({ ...i, room: roomOf(i.from), other: roomOf(target(i)) }))
  .filter((i) => i.room !== i.other);

describe('the rooms of core', () => {
  it('are all on the plan, and were all looked at', () => {
    const rooms = new Set(sources(core).map(roomOf));
    expect([...rooms].filter((room) => storeyOf(room) < 0)).toEqual([]);
    expect(between.length).toBeGreaterThan(10);
  });

  it('never import from a storey above', () => {
    const upward = between.filter((i) => storeyOf(i.other) > storeyOf(i.room));
    expect(upward.map(show)).toEqual([]);
  });

  it('of one storey never need each other in turn', () => {
    const needs = new Map<string, Set<string>>();
    for (const i of between)
      if (storeyOf(i.other) === storeyOf(i.room))
        needs.set(i.room, (needs.get(i.room) ?? new Set()).add(i.other));
    const reaches = (from: string, to: string, seen = new Set<string>()): boolean =>
      [...(needs.get(from) ?? [])].some(
        (next) => next === to || (!seen.has(next) && reaches(next, to, seen.add(next))),
      );
    expect([...needs.keys()].filter((room) => reaches(room, room))).toEqual([]);
  });

  it('are entered through their index; only types may be taken from a file inside', () => {
    const inside = between.filter(
      (i) => !i.typeOnly && relative(core, target(i)).includes('/') && !i.to.endsWith('/index.ts'),
    );
    expect(inside.map(show)).toEqual([]);
  });

  it('know no Node, and each heavy library is known to one file', () => {
    const foreign = coreImports.filter((i) => !i.to.startsWith('.'));
    const pure = foreign.filter((i) => !/^(node\.ts|node\/)/.test(relative(core, i.from)));
    expect(pure.filter((i) => i.to.startsWith('node:')).map(show)).toEqual([]);
    const kernel = foreign.filter((i) => i.to.startsWith('manifold-3d') && !i.typeOnly);
    expect(new Set(kernel.map((i) => relative(core, i.from))).size).toBeLessThanOrEqual(1);
  });
});

describe('the command', () => {
  const imports = sources(cli).flatMap(importsOf);

  it('sees core by its package name only', () => {
    expect(imports.length).toBeGreaterThan(10);
    const past = imports.filter((i) => /core\/(src|dist)|\.\.\/core/.test(i.to));
    expect(past.map(show)).toEqual([]);
  });

  it('loads core lazily, so that --help stays quick', () => {
    const eager = imports.filter((i) => {
      const text = readFileSync(i.from, 'utf8');
      const statement = new RegExp(String.raw`(?:^|\n)import (?!type)[^;]*from '${i.to}'`);
      const inTask = relative(cli, i.from).startsWith('tasks/');
      return i.to.startsWith('@scantling/core') && !inTask && statement.test(text);
    });
    expect(eager.map(show)).toEqual([]);
  });
});
