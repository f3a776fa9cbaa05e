import * as z from 'zod';
import { globalSections, machineSections } from './schema.ts';

const HEAD = `# The workshop: your machines and how you work. All lengths in mm.
# Every line that begins with "#" is a comment; take the mark away to set a value of your own.

machines:
  - name: desk machine
    # The plate is one of
    #   box: [width, depth]            a rectangle
    #   round: diameter                a disc
    #   outline: [[x, y], [x, y], ..]  any convex shape, corners in order
    plate: { box: [220, 220] }
    height: 250
    # Kept free of the part, for a brim or clips.
    margin: { side: 3, top: 2 }
    # Boxes the part must stay out of. The origin is the middle of the plate's upper face, X to the
    # right, Y to the back, Z up. (A plate with an outline keeps the coordinates of its corners.)
    keepOut: []
    #  - { name: purge corner, min: [-110, -110, 0], max: [-90, -95, 250] }
`;

const MORE = `
  # More machines: every part is tried on each of them.
  # - name: tall round one
  #   plate: { round: 300 }
  #   height: 400
  #   margin: { side: 5 }
`;

/** The text of a first `workshop.yaml`: valid as it stands, each setting explained beside it. */
export function workshopTemplate(): string {
  const machine = sections(machineSections).map(([name, schema]) =>
    sectionLines(name, schema, '    '),
  );
  const shop = sections(globalSections).map(([name, schema]) => sectionLines(name, schema, ''));
  return HEAD + machine.join('') + MORE + shop.map((text) => `\n${text}`).join('');
}

const sections = (of: Readonly<Record<string, z.ZodType>>) => Object.entries(of);

interface Described {
  readonly description?: string;
  readonly default?: unknown;
  readonly properties?: Readonly<Record<string, Described>>;
}

/** A section with all its defaults, commented out, made from the very schema that checks it. */
function sectionLines(name: string, schema: z.ZodType, indent: string): string {
  const described = z.toJSONSchema(schema, { io: 'input', unrepresentable: 'any' }) as Described;
  return settingLines(name, described, `${indent}# `, 0).join('\n') + '\n';
}

/** A setting below its explanation; groups of settings and lists go on, one item a line. */
function settingLines(name: string, described: Described, mark: string, depth: number): string[] {
  const lead = mark + '  '.repeat(depth);
  const inner = Object.entries(described.properties ?? {});
  const list = Array.isArray(described.default) ? (described.default as unknown[]) : [];
  // The name of a section needs no second mark: it has the one that comments it out.
  const said = wrapped(described.description ?? '', lead + (depth > 0 ? '# ' : ''));
  if (inner.length > 0)
    return [...said, `${lead}${name}:`, ...inner.flatMap(([key, value]) => settingLines(key, value, mark, depth + 1))]; // prettier-ignore
  if (list.some((item) => typeof item === 'object'))
    return [...said, `${lead}${name}:`, ...list.map((item) => `${lead}  - ${flow(item)}`)];
  return [...said, `${lead}${name}: ${flow(described.default)}`];
}

/** Width of the file's text: it is read in editors and on small screens. */
const COLUMNS = 100;

function wrapped(text: string, lead: string): string[] {
  const lines: string[] = [];
  for (const word of text.split(' ').filter(Boolean)) {
    const last = lines.at(-1);
    if (last === undefined || last.length + 1 + word.length > COLUMNS) lines.push(lead + word);
    else lines[lines.length - 1] = `${last} ${word}`;
  }
  return lines;
}

/** A value in YAML's flow form on one line. */
function flow(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(flow).join(', ')}]`;
  if (value && typeof value === 'object' && Object.keys(value).length === 0) return '{}';
  if (value && typeof value === 'object')
    return `{ ${Object.entries(value)
      .map(([key, inner]) => `${key}: ${flow(inner)}`)
      .join(', ')} }`;
  if (typeof value === 'string' && /^[a-z][a-z0-9 -]*$/i.test(value)) return value;
  return JSON.stringify(value) ?? '';
}
