import { isMap, isNode, isSeq, LineCounter, parseDocument, type Document } from 'yaml';
import { ScantlingError } from '../errors.ts';
import { kitFileSchema, type Kit, type KitPart } from './schema.ts';

/**
 * Reads a kit file (YAML 1.2).
 * @throws ScantlingError `KIT_SYNTAX` for text that is no YAML, `KIT_KEY` for a wrong, missing or
 * unknown key and for a file named twice; both say line and column
 */
export function parseKit(text: string, file = 'kit.yaml'): Kit {
  const { document, place } = documentOf(text, file);
  const read = kitFileSchema.safeParse(document.toJS());
  const fail = (path: readonly PropertyKey[], words: string): never => {
    const where = path.map((k) => (typeof k === 'number' ? `[${k}]` : `.${String(k)}`)).join('').replace(/^\./, ''); // prettier-ignore
    throw new ScantlingError('KIT_KEY', `${where ? `${where}: ` : ''}${words}`, { file, at: place(path) }); // prettier-ignore
  };
  if (!read.success) {
    const issue = read.error.issues[0];
    const keys = issue?.code === 'unrecognized_keys' ? issue.keys : [];
    return fail([...(issue?.path ?? []), ...keys.slice(0, 1)], keys.length > 0 ? 'there is no such key here.' : `${issue?.message ?? 'wrong value'}.`); // prettier-ignore
  }
  const seen = new Set<string>();
  read.data.parts.forEach((part, i) => {
    if (seen.has(part.file)) fail(['parts', i, 'file'], `"${part.file}" is listed twice; raise its quantity instead.`); // prettier-ignore
    seen.add(part.file);
  });
  return read.data;
}

const HEAD = ` A kit: the parts of one figure and how each is made. Lines that begin with "#" are comments;
 yours stay when the file is updated.
 order:  groups in the order you want them printed, for example [left leg, right leg, torso]
 role:   load-bearing, display, fine detail, weight; sets walls and infill unless given
 place:  as modelled, or a list of { turn: [x, y, z], move: [x, y, z] } (degrees, then mm), one per copy`;

/** What an update did to a kit file. */
export interface KitUpdate {
  readonly text: string;
  readonly added: readonly string[];
  /** In the file, but not among the parts found. */
  readonly gone: readonly string[];
}

/** A part as found; keys left out take their defaults and are not written. */
export type FoundPart = Pick<KitPart, 'file'> & Partial<KitPart>;

/**
 * A first kit file, or an old one with the parts that are new to it added at its end. What the
 * file says already stays as it is, comments and order included; nothing is removed.
 * @param text of the file as it is, or null
 * @throws ScantlingError `KIT_SYNTAX`, `KIT_KEY`
 */
export function updateKit(
  text: string | null,
  found: readonly FoundPart[],
  name: string,
  file = 'kit.yaml',
): KitUpdate {
  const before = text === null ? null : parseKit(text, file);
  const known = new Set(before?.parts.map((p) => p.file));
  const added = found.filter((p) => !known.has(p.file));
  const here = new Set(found.map((p) => p.file));
  const gone = [...known].filter((f) => !here.has(f));
  const { document } = documentOf(text ?? 'name: kit\norder: []\nparts: []\n', file);
  if (text === null) {
    document.commentBefore = HEAD;
    document.set('name', name);
    const groups = [...new Set(found.flatMap((p) => (p.group === undefined ? [] : [p.group])))];
    if (groups.length > 0) document.set('order', document.createNode(groups, { flow: true }));
  }
  if (added.length === 0 && text !== null) return { text, added: [], gone };
  const parts = document.get('parts');
  if (isSeq(parts)) {
    parts.flow = false;
    for (const part of added) {
      const node = document.createNode(part);
      if (isMap(node)) for (const pair of node.items) if (isSeq(pair.value)) pair.value.flow = true;
      parts.add(node);
    }
  }
  return { text: document.toString({ lineWidth: 100 }), added: added.map((p) => p.file), gone };
}

interface Opened {
  readonly document: Document;
  readonly place: (path: readonly PropertyKey[]) => { line: number; column: number };
}

function documentOf(text: string, file: string): Opened {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false });
  const broken = document.errors[0];
  if (broken) {
    const { line, col } = lines.linePos(broken.pos[0]);
    throw new ScantlingError('KIT_SYNTAX', `this is not valid YAML: ${broken.message}.`, { file, at: { line, column: col } }); // prettier-ignore
  }
  return {
    document,
    // The value at the path, or the nearest thing above it.
    place: (path) => {
      for (let n = path.length; n >= 0; n--) {
        const node = n > 0 ? document.getIn(path.slice(0, n), true) : document.contents;
        const start = isNode(node) ? node.range?.[0] : undefined;
        if (start === undefined) continue;
        const { line, col } = lines.linePos(start);
        return { line, column: col };
      }
      return { line: 1, column: 1 };
    },
  };
}

/** Names of the pieces of a part: its file's stem, and #2, #3 ... for further copies. */
export function pieceNames(part: Pick<KitPart, 'file' | 'quantity'>): string[] {
  const stem = part.file.replace(/^.*\//, '').replace(/\.[^.]+$/, '');
  return Array.from({ length: part.quantity }, (_, i) => (i === 0 ? stem : `${stem}#${i + 1}`));
}
