import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import type { Estimate, Kit, OrientList, Plan, Scan, SplitPart, SplitReport } from '@scantling/core'; // prettier-ignore
import { UsageError } from './failure.ts';
import type { Io } from './io.ts';
import { shownPath } from './output.ts';

/** Results of other commands that a report shows. */
export interface Results {
  scan: Scan | null;
  split: SplitReport | null;
  orient: OrientList | null;
  estimate: Estimate | null;
  plan: Plan | null;
}

/** Longer files are not looked into when they merely lie in the folder. */
const MOST_BYTES = 64e6;

/** Reads result files, told apart by their `schema`; files named by the user must be results. */
export async function readResults(
  io: Io,
  named: readonly string[],
  folder: string | null,
): Promise<Results> {
  const core = await import('@scantling/core');
  const schemas = {
    'scantling/scan@1': ['scan', core.scanSchema],
    'scantling/split@1': ['split', core.splitSchema],
    'scantling/orient-list@1': ['orient', core.orientListSchema],
    'scantling/estimate@1': ['estimate', core.estimateSchema],
    'scantling/plan@1': ['plan', core.planSchema],
  } as const;
  const out: Results = { scan: null, split: null, orient: null, estimate: null, plan: null };
  const take = (path: string, must: boolean): void => {
    const shown = shownPath(io, path);
    const value = parse(path);
    const name = (value as { schema?: unknown } | null)?.schema;
    const known = typeof name === 'string' ? schemas[name as keyof typeof schemas] : undefined;
    if (!known) {
      if (must)
        throw new UsageError(`${shown}: no result of scantling; give the JSON of scan, split, orient, estimate or plan.`); // prettier-ignore
      return;
    }
    const [room, schema] = known;
    const checked = schema.safeParse(value);
    if (!checked.success) {
      if (!must) return;
      const issue = checked.error.issues[0];
      throw new UsageError(`${shown}: not a whole ${String(name)}: ${issue?.path.join('.')}: ${issue?.message}.`); // prettier-ignore
    }
    if (room === 'split' && out.split) out.split = merge(out.split, checked.data as SplitReport);
    else (out as unknown as Record<string, unknown>)[room] = checked.data;
  };
  if (folder !== null)
    for (const file of readdirSync(folder).sort())
      if (file.endsWith('.json') && statSync(join(folder, file)).size < MOST_BYTES)
        take(join(folder, file), false);
  for (const file of named) {
    const path = resolve(io.cwd, file);
    if (!existsSync(path)) throw new UsageError(`${file}: no such file.`, 'NO_SUCH_PATH');
    take(path, true);
  }
  return out;
}

function parse(path: string): unknown {
  try {
    return JSON.parse(readFileSync(path, 'utf8'));
  } catch {
    return null;
  }
}

/** Reports on single parts, as `split --out` writes them, add up. */
function merge(a: SplitReport, b: SplitReport): SplitReport {
  const key = (p: SplitPart): string => `${p.file}|${p.part ?? ''}`;
  const later = new Set(b.parts.map(key));
  const parts = [...a.parts.filter((p) => !later.has(key(p))), ...b.parts];
  return { ...b, complete: a.complete && b.complete, parts };
}

/** The kit file named, or the one among the parts. */
export async function readKit(
  io: Io,
  given: string | undefined,
  folder: string | null,
): Promise<{ readonly kit: Kit; readonly folder: string } | null> {
  // prettier-ignore
  const { KIT_FILE } = await import('./kit-session.ts');
  const path = given !== undefined ? resolve(io.cwd, given) : folder && join(folder, KIT_FILE);
  if (!path || (given === undefined && !existsSync(path))) return null;
  if (!existsSync(path)) throw new UsageError(`${given}: no such kit file.`, 'NO_SUCH_KIT');
  const { parseKit } = await import('@scantling/core');
  return { kit: parseKit(readFileSync(path, 'utf8'), shownPath(io, path)), folder: dirname(path) };
}
