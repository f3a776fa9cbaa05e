import stringWidth from 'string-width';
import type { Style } from './style.ts';

export interface Column {
  readonly head: string;
  readonly align?: 'left' | 'right';
  /** May be shortened (in the middle) down to this width; absent: never shortened. */
  readonly least?: number;
  /** Left out, rightmost first, when the table is still too wide. */
  readonly optional?: boolean;
}

export interface Cell {
  readonly text: string;
  readonly paint?: ((text: string) => string) | undefined;
}

const GAP = 2;

/**
 * A table that keeps within `width` columns: shrinkable columns give way first, widest first, then
 * optional columns go. Lines never end in blanks, so a copy of the output is clean.
 */
export function table(
  columns: readonly Column[],
  rows: readonly (readonly (Cell | string)[])[],
  width: number,
  style: Pick<Style, 'head' | 'faint'>,
): string {
  const cells = rows.map((row) =>
    row.map((c) => (typeof c === 'string' ? { text: clean(c) } : { ...c, text: clean(c.text) })),
  );
  const natural = columns.map((column, i) =>
    Math.max(stringWidth(column.head), ...cells.map((row) => stringWidth(row[i]?.text ?? ''))),
  );
  const shown = chooseColumns(columns, natural, width);
  const widths = shrink(columns, natural, shown, width);

  const line = (row: readonly Cell[]): string =>
    shown
      .map((i, k) => {
        const cell = row[i] ?? { text: '' };
        const room = widths[i] as number;
        const text = shorten(cell.text, room);
        const pad = ' '.repeat(Math.max(0, room - stringWidth(text)));
        const painted = cell.paint ? cell.paint(text) : text;
        const right = columns[i]?.align === 'right';
        return right ? pad + painted : k === shown.length - 1 ? painted : painted + pad;
      })
      .join(' '.repeat(GAP))
      .trimEnd();
  const head = line(columns.map((column) => ({ text: column.head, paint: style.head })));
  const rule = style.faint(
    '-'.repeat(shown.reduce((sum, i) => sum + (widths[i] as number), GAP * (shown.length - 1))),
  );
  return [head, rule, ...cells.map(line)].join('\n') + '\n';
}

function chooseColumns(columns: readonly Column[], natural: readonly number[], width: number) {
  const shown = columns.map((_, i) => i);
  const least = () =>
    shown.reduce(
      (sum, i) => sum + Math.min(natural[i] as number, columns[i]?.least ?? Infinity),
      GAP * (shown.length - 1),
    );
  for (let i = columns.length - 1; i >= 0 && least() > width; i--)
    if (columns[i]?.optional) shown.splice(shown.indexOf(i), 1);
  return shown;
}

function shrink(
  columns: readonly Column[],
  natural: readonly number[],
  shown: readonly number[],
  width: number,
): number[] {
  const widths = [...natural];
  let excess =
    shown.reduce((sum, i) => sum + (widths[i] as number), GAP * (shown.length - 1)) - width;
  while (excess > 0) {
    const give = shown
      .filter((i) => (widths[i] as number) > (columns[i]?.least ?? Infinity))
      .sort((a, b) => (widths[b] as number) - (widths[a] as number))[0];
    if (give === undefined) break;
    widths[give] = (widths[give] as number) - 1;
    excess--;
  }
  return widths;
}

/** Control characters made harmless: names come out of files from anywhere. */
export const clean = (text: string): string =>
  text.replace(/[\u0000-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/g, '?');

/** Shortens in the middle, where file names differ least: `coat_sh..left.stl`. */
export function shorten(text: string, room: number): string {
  if (stringWidth(text) <= room) return text;
  if (room <= 2) return text.slice(0, room);
  const letters = [...text];
  const keep = room - 2;
  let head = '';
  let tail = '';
  for (let i = 0, j = letters.length - 1; i <= j;) {
    const fromTail = stringWidth(tail) <= stringWidth(head);
    const next = fromTail ? `${letters[j]}${tail}` : `${head}${letters[i]}`;
    if (stringWidth(next) + stringWidth(fromTail ? head : tail) > keep) break;
    if (fromTail) {
      tail = next;
      j--;
    } else {
      head = next;
      i++;
    }
  }
  return `${head}..${tail}`;
}

/** Text broken at blanks to lines of at most `width` columns, further lines indented; `clean`. */
export function wrap(text: string, width: number, indent = ''): string {
  const lines: string[] = [];
  let line = '';
  for (const word of clean(text).split(' ')) {
    const joined = line ? `${line} ${word}` : (lines.length ? indent : '') + word;
    if (line && stringWidth(joined) > width) {
      lines.push(line);
      line = indent + word;
    } else line = joined;
  }
  lines.push(line);
  return lines.join('\n');
}
